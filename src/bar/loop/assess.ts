import {
  advise,
  beverageMass,
  judge,
  nextStep,
  observeShot,
  scatterOf,
  steadiness,
  watchDrift,
  type Air,
  type DriftWarning,
  type Judgement,
  type NextStep,
  type Recipe,
} from '../../coffee/index.ts'
import type { Cue } from '../../messages/cue.ts'
import type { NewEntry } from '../events.ts'
import { say } from '../say.ts'
import {
  beliefKey,
  beliefOf,
  driftOf,
  isWithin,
  ranges,
  recipeOf,
  withDrift,
  type BeforeShot,
  type CurrentShot,
  type LoopContext,
} from './loopContext.ts'

/** Idle seconds before the first shot of a shift: the group is cold, as far as anybody has said. */
const overnight = 12 * 3600

export const secondsADay = 86_400

/** The room's air, once both readings are known: the model has use for both or none. */
function airOf({ room: { temperature, humidity } }: LoopContext): Air | undefined {
  return temperature === undefined || humidity === undefined ? undefined : { temperature, humidity }
}

/** Drinks that differ from the recipe's by more than this were another drink, or weighed with the cup. */
const comparable = { low: 0.5, high: 2 } as const

/**
 * The time this shot would have taken to the recipe's yield. Once it runs, a pour's flow hardly changes (common
 * practice), so a cup that was let run a touch longer is not taken for a slow one, nor a short one for a fast one.
 */
export function atRecipeYield(seconds: number, drink: number | undefined, recipe: Recipe): number {
  if (drink === undefined) return seconds
  const share = drink / beverageMass(recipe.yield)
  return isWithin(share, comparable) ? seconds / share : seconds
}

/** What is known at a shot's end, before the shot itself is weighed. */
const known = (context: LoopContext, at: number): BeforeShot => ({
  belief: beliefOf(context, at),
  drift: driftOf(context),
  shotsToHit: context.tally.shotsToHit,
  idle: context.tally.lastEnd === null ? overnight : Math.max(0, at - context.tally.lastEnd),
})

export interface Assessment {
  judgement: Judgement
  step: NextStep
  /** what the shot changes: the belief, the drift monitor, the shots it took to hit the window */
  change: Pick<LoopContext, 'current' | 'step' | 'beliefs' | 'drifts' | 'tally'>
  /** whether it is the first in the window since the calibration began */
  isFirstHit: boolean
  warning: DriftWarning | null
}

/**
 * What the shot in hand means. Weighed again from what was known before it whenever a fact comes later: a look, a
 * taste, another time.
 */
export function assess(now: LoopContext, shot: CurrentShot): Assessment {
  // what was moved or chosen since it was ground is not this shot's
  const context = { ...now, ...shot.setup }
  const recipe = recipeOf(context)
  const at = shot.end ?? context.tally.openedAt
  const pulled = shot.seconds ?? 0
  const seconds = atRecipeYield(pulled, shot.drink, recipe)
  const air = airOf(context)
  const roasted = context.roasted[context.coffee]
  const before = shot.before ?? known(context, at)
  const belief = observeShot(before.belief, {
    seconds: pulled,
    notch: context.notch,
    at,
    purged: context.purged,
    looks: shot.looks,
    recipe,
    idle: before.idle,
    ...(context.person !== null && { person: context.person }),
    ...(air && { air }),
    ...(shot.dose !== undefined && { dose: { grams: shot.dose, recipeGrams: recipe.dose } }),
    ...(shot.drink !== undefined && {
      yield: { grams: shot.drink, recipeGrams: beverageMass(recipe.yield) },
    }),
  })
  const judgement = judge({
    seconds,
    window: recipe.window,
    ...(roasted !== undefined && { beanAge: Math.max(0, (at - roasted) / secondsADay) }),
    ...(shot.firstDrip !== undefined && { firstDrip: shot.firstDrip }),
    looks: shot.looks,
    tastes: shot.tastes,
    steadiness: steadiness(belief),
    grind: belief.last?.mixed ? 'mixed' : 'settled',
    handOff: shot.handOff,
  })
  const advice = advise(belief, recipe, {
    at,
    notch: context.notch,
    notchRange: { lowest: ranges.notch.low, highest: ranges.notch.high },
    ...(air && { air }),
    largerMoves: context.settings.largerMoves,
    judgement,
  })
  const step = nextStep(judgement, advice)
  const { monitor, warning } = watchDrift(before.drift, {
    seconds,
    notch: context.notch,
    scatter: scatterOf(belief),
    faultChance: belief.last?.faultChance ?? 0,
    ...(belief.last && { effects: belief.last.effects }),
    moving: step.notches !== 0,
    mixed: belief.last?.mixed ?? false,
  })
  const isFirstHit = before.shotsToHit === null && judgement.verdict === 'in window'
  return {
    judgement,
    step,
    change: {
      current: { ...shot, before },
      step,
      beliefs: { ...context.beliefs, [beliefKey(context)]: belief },
      drifts: withDrift(context, monitor),
      tally: {
        ...context.tally,
        lastSeconds: pulled,
        lastEnd: at,
        shotsToHit: isFirstHit ? context.tally.sinceCalibration : before.shotsToHit,
      },
    },
    isFirstHit,
    // a warning that the shot gave before is not given again
    warning: warning && driftOf(context).warned !== warning.direction ? warning : null,
  }
}

export const stepCues = (context: LoopContext, step: NextStep): Cue[] => [
  say(step.sentence, { ...step.values }),
  ...(context.settings.prompts === 'long' ? [say(step.reason, { ...step.values })] : []),
]

/** A creep of the shots, in words. */
export const driftCues = (warning: DriftWarning | null): Cue[] =>
  warning ? [say(warning.sentence, { ...warning.values })] : []

export const warningEntries = (warning: DriftWarning | null, shot: CurrentShot, at: number): NewEntry[] =>
  warning ? [{ kind: 'drift warned', at, shot: shot.id, direction: warning.direction }] : []

/** What was made of a shot, for the log. */
export const judged = (shot: CurrentShot, step: NextStep, serve: boolean, at: number): NewEntry => ({
  kind: 'judged',
  at,
  shot: shot.id,
  looks: shot.looks,
  tastes: shot.tastes,
  action: step.action,
  serve,
})
