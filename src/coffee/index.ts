/** The trade's computation: pure functions and plain values. No clock, no screen, no random source of its own. */
export * from './advice.ts'
export * from './beliefPicture.ts'
export * from './beliefSummary.ts'
export * from './bench.ts'
export { ordinaryBench, type BenchSettings } from './benchSettings.ts'
export { carryOver } from './carryOver.ts'
export { individualsChart, type IndividualsChart } from './controlChart.ts'
export * from './driftMonitor.ts'
export * from './drillScore.ts'
export * from './extraction.ts'
export {
  beginBelief,
  type Air,
  type Estimate,
  type GrinderBelief,
  type LastShot,
  type ObservedShot,
} from './grinderBelief.ts'
export type { CarryOver } from './grinderModel.ts'
export * from './judgement.ts'
export { doseFor, type OrderShare } from './mixOfOrders.ts'
export * from './nextStep.ts'
export { observePurge, observeShot } from './observe.ts'
export { OutOfRange } from './outOfRange.ts'
export { outlook, type Outlook } from './outlook.ts'
export * from './recipe.ts'
export * from './tamp.ts'
export * from './units.ts'
