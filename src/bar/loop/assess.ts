import {
  advise,
  judge,
  nextStep,
  observeShot,
  steadiness,
  type GrinderBelief,
  type Judgement,
  type NextStep,
} from '../../coffee/index.ts'
import type { Cue } from '../../messages/cue.ts'
import { say } from '../say.ts'
import { beliefOf, ranges, recipeOf, type CurrentShot, type LoopContext } from './loopContext.ts'

/** What the shot in hand means: the belief with it, the judgement, and the one next thing to do. */
export function assess(
  context: LoopContext,
  current: CurrentShot,
): { belief: GrinderBelief; judgement: Judgement; step: NextStep } {
  const recipe = recipeOf(context)
  const at = current.end ?? context.tally.openedAt
  const seconds = current.seconds ?? 0
  const belief = observeShot(current.beliefBefore ?? beliefOf(context, at), {
    seconds,
    notch: context.notch,
    at,
    purged: context.purged,
    looks: current.looks,
    ...(current.dose !== undefined && { dose: { grams: current.dose, recipeGrams: recipe.dose } }),
  })
  const judgement = judge({
    seconds,
    window: recipe.window,
    looks: current.looks,
    tastes: current.tastes,
    steadiness: steadiness(belief),
    grind: context.purged ? 'settled' : 'mixed',
    handOff: current.handOff,
  })
  const advice = advise(belief, recipe, {
    at,
    notch: context.notch,
    notchRange: { lowest: ranges.notch.low, highest: ranges.notch.high },
    largerMoves: context.settings.largerMoves,
  })
  return { belief, judgement, step: nextStep(judgement, advice) }
}

export const stepCues = (context: LoopContext, step: NextStep): Cue[] => [
  say(step.sentence, { ...step.values }),
  ...(context.settings.prompts === 'long' ? [say(step.reason, { ...step.values })] : []),
]
