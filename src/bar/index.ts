/** The door of the room: what other rooms may use of the bar. */
export { barMachine } from './bar.machine.ts'
export type { BarContext, BarEmitted, BarEvent, BarInput } from './barContext.ts'
export { questionOf, type Question } from './confirming.ts'
export type { drillMachine } from './drill/drill.machine.ts'
export { startDurableBar, type Bar } from './durableBar.ts'
export { drillGrammars } from './drill/drillGrammars.ts'
export { drillPourTag } from './drill/heardPour.ts'
export { stepOf, type DrillContext } from './drill/drillContext.ts'
export { toEvent, type CommandEvent, type NewEntry } from './events.ts'
export { expectedNow } from './expected.ts'
export { handOffCues, handOffTag, warningFrom, type HandOffClock } from './handOff/handOffCues.ts'
export type { HouseChange } from './loop/effect.ts'
export {
  driftOf,
  places,
  ranges,
  recipeOf,
  type LoopContext,
  type Place,
  type Pour,
} from './loop/loopContext.ts'
export { pourTag } from './loop/pourMarks.ts'
export { mayBeSaid, type Situation } from './mayBeSaid.ts'
export { placeOf } from './place.ts'
export { readSaved, resumeBar, saveBar, type SavedBar } from './saved.ts'
export {
  changeSetting,
  defaultSettings,
  readSettings,
  settingsSchema,
  type SettingName,
  type Settings,
} from './settings.ts'
export { situationOf } from './situation.ts'
