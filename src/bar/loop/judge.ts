import {
  brewingRanges,
  brewRatio,
  extractionYield,
  fluidOuncesToMillilitres,
  massOfVolume,
  OutOfRange,
  recipeRanges,
} from '../../coffee/index.ts'
import type { Cue } from '../../messages/cue.ts'
import type { CommandEvent } from '../events.ts'
import { entryId } from '../ids.ts'
import { logged, prompt, refuse, say, warn } from '../say.ts'
import { assess, judged, stepCues, driftCues, warningEntries } from './assess.ts'
import { as, nowOf, undoable, type Effect, type LoopAction, type LoopEvent } from './effect.ts'
import {
  isWithin,
  newShot,
  ranges,
  recipeOf,
  type CurrentShot,
  type LoopContext,
  type Place,
} from './loopContext.ts'

/** The drink that was said, in millilitres or grams. */
function drinkOf(event: Extract<CommandEvent, { type: 'drink' }>) {
  const { amount, unit } = event.slots
  return unit === 'grams'
    ? { grams: amount }
    : { millilitres: unit === 'fluid ounces' ? fluidOuncesToMillilitres(amount) : amount }
}

const round1 = (value: number) => Math.round(value * 10) / 10

/** What went into the basket: as said, or as the recipe has it. */
const doseOf = (context: LoopContext, { dose }: CurrentShot) => dose ?? recipeOf(context).dose

/** The extraction, once strength and drink are known, and where it lies. 18 to 22 % is common practice. */
function extractionCues(context: LoopContext, current: CurrentShot): Cue[] {
  const { strength, drink } = current
  if (strength === undefined || drink === undefined) return []
  try {
    const percent = extractionYield(strength, doseOf(context, current), drink)
    const { low, high } = brewingRanges.espresso.extraction
    const where = percent < low ? 'low' : percent > high ? 'high' : 'good'
    return [say(`shot.extraction.${where}`, { percent: round1(percent) })]
  } catch (error) {
    if (!(error instanceof OutOfRange)) throw error
    return [say('trouble.extraction')]
  }
}

/** A list with a value in it, once. */
const withOne = <T>(list: readonly T[], value: T): readonly T[] =>
  list.includes(value) ? list : [...list, value]

/** Facts that came after the pour: weigh the shot again from what was known before it. */
function reassess(context: LoopContext, event: LoopEvent, place: Place, current: CurrentShot): Effect {
  const { judgement, step, change } = assess(context, current)
  const at = nowOf(context, event)
  const serve = judgement.serve || current.isOverruled === true
  const isCondemned = !serve && context.step?.serve === true
  const isWaiting = serve && current.handOff === 'running'
  const isSame = step.sentence === context.step?.sentence
  // while a cup waits the advice waits too, and what has been said is not said twice
  const isNews = !isWaiting && (isCondemned || !context.stepSaid || !isSame)
  return undoable(context, place, {
    change: { ...change, stepSaid: isNews || (context.stepSaid && isSame) },
    cues: [
      ...(isCondemned ? [warn(current.looks.includes('no crema') ? 'shot.no-crema' : 'shot.condemned')] : []),
      ...(isNews ? stepCues(context, step) : [say('shot.seen')]),
    ],
    entries: [judged(current, step, serve, at)],
    ...(isCondemned &&
      current.handOff === 'running' && { tell: [{ type: 'condemned', shot: current.id, at }] }),
  })
}

/** The judgement of the shot, and the facts that come after its pour. */
export const judgeActions = {
  noteLook: (context, event, place) =>
    reassess(context, event, place, {
      ...context.current,
      looks: withOne(context.current.looks, as(event, 'look').slots.look),
    }),

  noteTaste: (context, event, place) =>
    reassess(context, event, place, {
      ...context.current,
      tastes: withOne(context.current.tastes, as(event, 'taste').slots.taste),
    }),

  correctTime: (context, event, place) => {
    const { seconds } = as(event, 'time was').slots
    if (!isWithin(seconds, ranges.pour)) return refuse('trouble.seconds', seconds, ranges.pour)
    const current = { ...context.current, seconds }
    const { step, change, isFirstHit, warning } = assess(context, current)
    const { sinceCalibration } = context.tally
    const at = nowOf(context, event)
    return undoable(context, place, {
      change: { ...change, stepSaid: true, driftToSay: null },
      cues: [
        logged,
        say('shot.corrected', { seconds }),
        ...(isFirstHit && sinceCalibration > 1 ? [say('shot.first-hit', { shots: sinceCalibration })] : []),
        ...stepCues(context, step),
        ...driftCues(context.driftToSay ?? warning),
      ],
      entries: [
        { kind: 'corrected', at, entry: current.entry ?? '', seconds },
        ...warningEntries(warning, current, at),
      ],
    })
  },

  /** Weighed or measured: the ratio is said back, and the time is judged at the recipe's yield. */
  noteDrink: (context, event, place) => {
    const drink = drinkOf(as(event, 'drink'))
    const amount = drink.millilitres ?? drink.grams ?? 0
    if (!isWithin(amount, recipeRanges.millilitres))
      return refuse('trouble.drink', amount, recipeRanges.millilitres)
    const grams = drink.grams ?? massOfVolume(amount, 'with crema')
    if (!isWithin(grams, recipeRanges.grams)) return refuse('trouble.drink', amount, recipeRanges.millilitres)
    const current = { ...context.current, drink: grams }
    const { step, change } = assess(context, current)
    const isNews = current.handOff !== 'running' && step.sentence !== context.step?.sentence
    return undoable(context, place, {
      change,
      cues: [
        logged,
        say('shot.ratio', { ratio: round1(brewRatio(doseOf(context, current), grams)) }),
        ...extractionCues(context, current),
        ...(isNews ? stepCues(context, step) : []),
      ],
      entries: [{ kind: 'drink measured', at: nowOf(context, event), shot: current.id, ...drink }],
    })
  },

  /** By refractometer: with the drink's weight it gives the extraction. */
  noteStrength: (context, event, place) => {
    const { percent } = as(event, 'strength').slots
    if (!isWithin(percent, ranges.strength)) return refuse('trouble.strength', percent, ranges.strength)
    const current = { ...context.current, strength: percent }
    return undoable(context, place, {
      change: { current },
      cues: [
        logged,
        ...(current.drink === undefined ? [say('shot.weigh-drink')] : extractionCues(context, current)),
      ],
      entries: [{ kind: 'strength measured', at: nowOf(context, event), shot: current.id, percent }],
    })
  },

  /** "Serve it anyway": the barista answers for it. */
  overrule: (context, event, place) => {
    const { current, step } = context
    if (!step || step.serve || current.isOverruled) return { cues: [say('shot.may-be-served')] }
    const at = nowOf(context, event)
    return undoable(
      context,
      place,
      {
        change: { current: { ...current, isOverruled: true } },
        cues: [logged, say('shot.overruled')],
        entries: [judged(current, step, true, at)],
        tell: [{ type: 'overruled', shot: current.id, at }],
      },
      { overruled: current.id },
    )
  },

  /** The advice, and a creep that was noticed, unless they have been said. */
  sayStep: (context) =>
    context.step && !context.stepSaid
      ? {
          change: { stepSaid: true, driftToSay: null },
          cues: [
            ...driftCues(context.driftToSay),
            ...stepCues(context, context.step),
            prompt('judge.prompt'),
          ],
        }
      : {},

  startNextShot: (context, event, place) =>
    undoable(context, place, {
      change: {
        current: newShot(entryId('loop', nowOf(context, event), context.made)),
        driftToSay: null,
      },
      cues:
        context.step && !context.stepSaid
          ? [...driftCues(context.driftToSay), ...stepCues(context, context.step)]
          : [],
    }),

  noteHandOff: (context, event) => {
    if (event.type !== 'hand-off ended') return {}
    const { outcome, clock } = event
    return clock.shot === context.current.id && outcome !== 'discarded'
      ? { change: { current: { ...context.current, handOff: outcome } } }
      : {}
  },

  noteReopened: (context, event) =>
    event.type === 'hand-off reopened' && event.clock.shot === context.current.id
      ? { change: { current: { ...context.current, handOff: 'running' } } }
      : {},
} satisfies Record<string, LoopAction>
