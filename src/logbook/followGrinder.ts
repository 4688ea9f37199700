import {
  beginBelief,
  carryOver,
  observePurge,
  observeShot,
  recipeRanges,
  standardRecipes,
  type GrinderBelief,
  type Recipe,
} from '../coffee/index.ts'
import type { Shot } from './effective.ts'
import type { LogRecord } from './record.ts'

/** What was believed of the grinder once a shot was learnt from. */
export interface Followed {
  shot: Shot
  belief: GrinderBelief
}

/**
 * What the grinder model makes of a stretch of the log, shot by shot: the belief that the bar would have had. Only the
 * grinder of the last shot is followed. Practice counts: the coffee was ground all the same.
 *
 * @param holds effective records, in the log's order
 */
export function followGrinder(holds: readonly LogRecord[]): Followed[] {
  const last = holds.findLast(({ entry }) => entry.kind === 'shot')?.entry
  if (last?.kind !== 'shot') return []
  const followed: Followed[] = []
  let belief: GrinderBelief | null = null
  let before: Shot | null = null
  const looks = new Map(
    holds.flatMap(({ entry }) => (entry.kind === 'judged' ? [[entry.shot, entry.looks] as const] : [])),
  )
  for (const { entry } of holds) {
    if (entry.kind === 'purged' && belief && before)
      belief = observePurge(belief, {
        notch: belief.notch ?? before.notch,
        at: Math.max(belief.at, entry.at),
      })
    if (entry.kind === 'new bag' && belief)
      belief = carryOver(belief, 'new bag', Math.max(belief.at, entry.at))
    if (entry.kind !== 'shot' || entry.grinder !== last.grinder) continue
    if (!isLearnable(entry)) continue
    const at: number = belief ? Math.max(belief.at, entry.at) : entry.at
    belief ??= beginBelief(at)
    if (before && before.coffee !== entry.coffee) belief = carryOver(belief, 'new coffee', at)
    const { seconds, notch, purged, person, dose } = entry
    const recipe = recipeOf(entry)
    belief = observeShot(belief, {
      seconds,
      notch,
      purged,
      at,
      recipe,
      looks: looks.get(entry.shot) ?? [],
      ...(person !== undefined && { person }),
      ...(dose !== undefined && isWeighable(dose) && { dose: { grams: dose, recipeGrams: recipe.dose } }),
    })
    before = entry
    followed.push({ shot: entry, belief })
  }
  return followed
}

/** The recipe of a shot, as far as advice needs it: the standard one of its name, with the window it was pulled to. */
export function recipeOf(shot: Shot): Recipe {
  const standard = shot.recipe === 'triple' ? standardRecipes.triple : standardRecipes.double
  return { ...standard, name: shot.recipe, window: { opens: shot.windowOpens, closes: shot.windowCloses } }
}

const isWeighable = (grams: number) => grams >= recipeRanges.dose.low && grams <= recipeRanges.dose.high

/** A log may hold times that no shot takes, from a file or a slip of the tongue: nothing is learnt from those. */
function isLearnable({ seconds, notch }: Shot): boolean {
  return seconds >= 1 && seconds <= 180 && Math.abs(notch) <= 1000
}
