import type { Advice } from './advice.ts'
import { outlooksOf } from './foretell.ts'
import type { GrinderBelief } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { nextShot, outlookAt, type Outlook } from './outlook.ts'
import type { Recipe, Window } from './recipe.ts'

/** What the adviser believes, as a picture of time against notch: plain values to be drawn. */
export interface BeliefPicture {
  readonly window: Window
  /** for each notch, coarsest first: the time expected, its 90 % band in seconds, and the chance to land */
  readonly curve: readonly { readonly notch: number; readonly outlook: Outlook }[]
  /** the shots that it was learnt from, oldest first; `fault` is the chance that one was a freak */
  readonly shots: readonly { readonly notch: number; readonly seconds: number; readonly fault: number }[]
  /** where the grinder is, and where the advice would have it */
  readonly from: number
  readonly to: number
}

/** Notches drawn beyond the last one of interest on either side. */
const margin = 3

/**
 * Time against notch with the band that the model believes, the shots that were seen and the move that was chosen.
 * @throws OutOfRange
 */
export function beliefPicture(
  belief: GrinderBelief,
  recipe: Recipe,
  advice: Pick<Advice, 'notches'>,
  now: { readonly at: number; readonly notch: number },
  model: GrinderModel = standardModel,
): BeliefPicture {
  const options = { ...now, largerMoves: false }
  const outlooks = outlooksOf(belief, nextShot(belief, recipe, options), model)
  const shots = belief.recent
    .filter((shot) => belief.firstRecipe === null || shot.recipe === recipe.name)
    .map(({ notch, seconds, fault }) => ({ notch, seconds, fault }))
  const to = now.notch + advice.notches
  const places = [now.notch, to, ...shots.map(({ notch }) => notch)].filter(
    (notch) => Math.abs(notch - to) <= 15,
  )
  const lowest = Math.min(...places) - margin
  const highest = Math.max(...places) + margin
  return {
    window: recipe.window,
    curve: Array.from({ length: Math.round(highest - lowest) + 1 }, (_, index) => {
      const notch = lowest + index
      return { notch, outlook: outlookAt(outlooks.at(notch), recipe.window, notch - now.notch) }
    }),
    shots,
    from: now.notch,
    to,
  }
}
