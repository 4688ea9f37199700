import { doseActions } from './dose.ts'
import { grindActions } from './grind.ts'
import { judgeActions } from './judge.ts'
import { pourActions } from './pour.ts'
import { recipeActions } from './recipe.ts'
import { shiftActions } from './shift.ts'
import { talkActions } from './talk.ts'

/** Everything the loop can do, by name; each is a pure function. */
export const loopActions = {
  ...shiftActions,
  ...recipeActions,
  ...grindActions,
  ...doseActions,
  ...pourActions,
  ...judgeActions,
  ...talkActions,
}
export type LoopActionName = keyof typeof loopActions
