import type { AdviceOptions } from './advice.ts'
import type { Estimate, GrinderBelief } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { outlooksOf, type NextShot } from './foretell.ts'
import { mixtureBelow, mixtureQuantile, type NormalPart } from './normal.ts'
import { checkWindow, type Recipe, type Window } from './recipe.ts'

/** One move with what it would bring, supposing that the old grounds are cleared after a move. */
export interface Outlook {
  /** positive is finer */
  readonly notches: number
  /** time of the next shot, seconds: median and 90 % interval */
  readonly seconds: Estimate
  /** chances that the next shot is early, in the window, late; they add up to 1 */
  readonly chance: { readonly fast: number; readonly inWindow: number; readonly slow: number }
}

/**
 * What the next shot will be after a move, supposing that the old grounds are cleared.
 * @throws OutOfRange
 */
export function outlook(
  belief: GrinderBelief,
  recipe: Recipe,
  options: AdviceOptions,
  notches: number,
  model: GrinderModel = standardModel,
): Outlook {
  checkWindow(recipe.window)
  const outlooks = outlooksOf(belief, nextShot(belief, recipe, options), model)
  return outlookAt(outlooks.at(options.notch + notches), recipe.window, notches)
}

/** A recipe under whose name nothing was pulled is foretold as the shots were, when they had no name either. */
export function nextShot(belief: GrinderBelief, recipe: Recipe, options: AdviceOptions): NextShot {
  const { at, notch, air, person = belief.person ?? undefined } = options
  const nameless = belief.firstRecipe === null && belief.learnt > 0
  return {
    at,
    notch,
    ...(air && { air }),
    ...(person !== undefined && { person }),
    ...(!nameless && { recipe }),
  }
}

/** Chances of ending before, in and after a window. */
export function chanceOf(parts: readonly NormalPart[], { opens, closes }: Window): Outlook['chance'] {
  const fast = mixtureBelow(parts, Math.log(opens))
  const slow = 1 - mixtureBelow(parts, Math.log(closes))
  return { fast, inWindow: 1 - fast - slow, slow }
}

/** What the parts of a forecast come to, for a move that was made to get there. */
export function outlookAt(parts: readonly NormalPart[], window: Window, notches: number): Outlook {
  const quantile = (below: number): number => Math.exp(mixtureQuantile(parts, below))
  return {
    notches,
    seconds: { mean: quantile(0.5), low: quantile(0.05), high: quantile(0.95) },
    chance: chanceOf(parts, window),
  }
}
