import { clockActions } from './clocks.ts'
import { confirmingActions } from './confirming.ts'
import { drillsActions } from './drills.ts'
import { pumpActions } from './pump.ts'
import { repairActions } from './repair/repair.ts'
import { settingsActions } from './settingsActions.ts'
import { talkActions } from './talk.ts'

/** Everything the bar does itself, by name; each is a pure function. */
export const barActions = {
  ...talkActions,
  ...clockActions,
  ...settingsActions,
  ...confirmingActions,
  ...drillsActions,
  ...repairActions,
  ...pumpActions,
}
export type BarActionName = keyof typeof barActions
