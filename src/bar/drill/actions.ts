import { countActions } from './counts.ts'
import { cupActions } from './cups.ts'
import { grindActions } from './grind.ts'
import { pourActions } from './pour.ts'
import { stepActions } from './steps.ts'

/** Everything a drill can do, by name; each is a pure function. */
export const drillActions = {
  ...stepActions,
  ...pourActions,
  ...grindActions,
  ...countActions,
  ...cupActions,
}
export type DrillActionName = keyof typeof drillActions
