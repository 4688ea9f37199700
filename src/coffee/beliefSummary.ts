import { merge } from './gaussian.ts'
import { effect, type Estimate, type GrinderBelief } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'

/** What the model believes, in numbers that can be spoken. */
export interface BeliefSummary {
  /** change of a shot's time for one notch finer, percent */
  readonly notchPercent: Estimate
  /** change of a shot's time from a cold grinder to one that has just ground ten doses, percent */
  readonly heatPercent: Estimate
  /** drift since the day began, percent; positive is slower */
  readonly driftPercent: Estimate
  /** shot-to-shot scatter at one setting, percent */
  readonly scatterPercent: number
  readonly shots: number
}

/** What it believes of notch, heat, drift and scatter. */
export function summarise(belief: GrinderBelief, model: GrinderModel = standardModel): BeliefSummary {
  const state = merge(belief.bank.map(({ weight, state }) => ({ weight, gaussian: state })))
  const size = state.mean.length
  const percent = (index: number): Estimate => {
    const mean = state.mean[index] ?? 0
    const reach = 1.6449 * Math.sqrt(state.covariance[index * (size + 1)] ?? 0)
    return { mean: toPercent(mean), low: toPercent(mean - reach), high: toPercent(mean + reach) }
  }
  return {
    notchPercent: percent(effect.slope),
    heatPercent: percent(effect.heat),
    driftPercent: percent(effect.drift),
    scatterPercent: toPercent(scatterOf(belief, model)),
    shots: belief.learnt,
  }
}

const toPercent = (logTime: number): number => 100 * Math.expm1(logTime)

/** Shot-to-shot scatter of ln(time) at one setting, as now believed of the hand that pulls. */
export const scatterOf = (belief: GrinderBelief, model: GrinderModel = standardModel): number =>
  Math.sqrt(
    belief.bank.reduce(
      (sum, { scatter, weight }) => sum + weight * (model.scatters[scatter]?.scatter ?? 0) ** 2,
      0,
    ),
  )

/** Change of ln(time) for one notch finer, as now believed. */
export const slopeOf = (belief: GrinderBelief): number =>
  belief.bank.reduce((sum, { weight, state }) => sum + weight * (state.mean[effect.slope] ?? 0), 0)

/** Scatter of ln(time) from which times no longer say much of the grind: a centred shot then misses a window as often as one in five. */
const scatterLimit = 0.09

/** Whether recent times at one setting agree with each other. */
export function steadiness(
  belief: GrinderBelief,
  model: GrinderModel = standardModel,
): 'steady' | 'scattered' | 'unknown' {
  if (belief.learnt < 3) return 'unknown'
  const wide = belief.bank.reduce(
    (sum, { scatter, weight }) =>
      sum + ((model.scatters[scatter]?.scatter ?? 0) >= scatterLimit ? weight : 0),
    0,
  )
  return wide > 0.8 ? 'scattered' : 'steady'
}
