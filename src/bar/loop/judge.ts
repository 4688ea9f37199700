import { beverageMass, fluidOuncesToMillilitres, recipeRanges } from '../../coffee/index.ts'
import type { CommandEvent } from '../events.ts'
import { entryId } from '../ids.ts'
import { logged, prompt, refuse, say, warn } from '../say.ts'
import { assess, stepCues, warned } from './assess.ts'
import { as, nowOf, undoable, type Effect, type LoopAction, type LoopEvent } from './effect.ts'
import { isWithin, newShot, ranges, type CurrentShot, type LoopContext, type Place } from './loopContext.ts'

/** The drink that was said, in millilitres or grams. */
function drinkOf(event: Extract<CommandEvent, { type: 'drink' }>) {
  const { amount, unit } = event.slots
  return unit === 'grams'
    ? { grams: amount }
    : { millilitres: unit === 'fluid ounces' ? fluidOuncesToMillilitres(amount) : amount }
}

/** A list with a value in it, once. */
const withOne = <T>(list: readonly T[], value: T): readonly T[] =>
  list.includes(value) ? list : [...list, value]

/** Facts that came after the pour: weigh the shot again from the belief before it. */
function reassess(context: LoopContext, event: LoopEvent, place: Place, current: CurrentShot): Effect {
  const { judgement, step, change } = assess(context, current)
  const at = nowOf(context, event)
  const changed = step.sentence !== context.step?.sentence
  return undoable(context, place, {
    change,
    cues:
      judgement.serve || !context.step?.serve
        ? changed
          ? stepCues(context, step)
          : [say('shot.seen')]
        : [warn('shot.no-crema'), ...stepCues(context, step)],
    entries: [
      {
        kind: 'judged',
        at,
        shot: current.id,
        looks: current.looks,
        tastes: current.tastes,
        action: step.action,
        serve: judgement.serve,
      },
    ],
    ...(!judgement.serve &&
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
    const drift = warned(warning, current, at)
    return undoable(context, place, {
      change: { ...change, stepSaid: true },
      cues: [
        logged,
        say('shot.corrected', { seconds }),
        ...(isFirstHit && sinceCalibration > 1 ? [say('shot.first-hit', { shots: sinceCalibration })] : []),
        ...stepCues(context, step),
        ...drift.cues,
      ],
      entries: [{ kind: 'corrected', at, entry: current.entry ?? '', seconds }, ...drift.entries],
    })
  },

  noteDrink: (context, event, place) => {
    const drink = drinkOf(as(event, 'drink'))
    const amount = drink.millilitres ?? drink.grams ?? 0
    if (!isWithin(amount, recipeRanges.millilitres))
      return refuse('trouble.drink', amount, recipeRanges.millilitres)
    // what came out is part of the time: a shot that was let run longer is no sign of a drift
    const grams = drink.grams ?? beverageMass({ by: 'volume', millilitres: amount })
    const current = isWithin(grams, recipeRanges.grams)
      ? { ...context.current, drink: grams }
      : context.current
    const change = current.seconds === undefined ? { current } : assess(context, current).change
    return undoable(context, place, {
      change,
      cues: [logged, say('shot.seen')],
      entries: [{ kind: 'drink measured', at: nowOf(context, event), shot: context.current.id, ...drink }],
    })
  },

  /** The advice, unless it has been said. */
  sayStep: (context) =>
    context.step && !context.stepSaid
      ? { change: { stepSaid: true }, cues: [...stepCues(context, context.step), prompt('judge.prompt')] }
      : {},

  startNextShot: (context, event, place) =>
    undoable(context, place, {
      change: { current: newShot(entryId('loop', nowOf(context, event), context.made)) },
      cues: context.step && !context.stepSaid ? stepCues(context, context.step) : [],
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
