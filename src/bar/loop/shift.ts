import { beginDriftMonitor, carryOver, createBench } from '../../coffee/index.ts'
import type { NewEntry } from '../events.ts'
import { entryId } from '../ids.ts'
import { logged, refuse, say } from '../say.ts'
import { secondsADay } from './assess.ts'
import { as, nowOf, switched, undoable, type Effect, type LoopAction } from './effect.ts'
import {
  beliefKey,
  isWithin,
  newShot,
  newTally,
  ranges,
  recipeOf,
  recipeWord,
  grinderChange,
  useGrinder,
  withDrift,
  type LoopContext,
  type Place,
} from './loopContext.ts'
import { pourTag } from './pourMarks.ts'

/** Goes to another grinder, as it was left. */
function switchGrinder(context: LoopContext, place: Place, number: number, at: number): Effect {
  const { coffee, notch } = useGrinder(context, number)
  const isKnown = number === context.grinder || context.others[number] !== undefined
  return switched(
    context,
    place,
    grinderChange(context, number),
    { kind: 'grinder chosen', at, grinder: number },
    isKnown ? say('shift.grinder.known', { number, coffee, notch }) : say('shift.grinder.new', { number }),
  )
}

/** The shift, and what is worked with in it. */
export const shiftActions = {
  openShift: (context, event) => {
    const at = nowOf(context, event)
    const carried = Object.fromEntries(
      Object.entries(context.beliefs).map(([key, belief]) => [key, carryOver(belief, 'new day', at)]),
    )
    return {
      change: {
        beliefs: carried,
        drifts: {},
        tally: newTally(at),
        current: newShot(entryId('loop', at, context.made)),
        step: null,
        purged: true,
        isWorked: false,
        others: Object.fromEntries(
          Object.entries(context.others).map(([grinder, setup]) => [
            grinder,
            { ...setup, purged: true, isWorked: false },
          ]),
        ),
        dose: null,
        undo: [],
        bench: context.settings.practice ? createBench(context.randomSeed) : null,
      },
      cues: [
        logged,
        say('shift.opened', {
          recipe: recipeWord(context),
          coffee: context.coffee,
          grinder: context.grinder,
        }),
        // windows differ from house to house, so a new one is asked
        ...(context.recipes.house === null && Object.keys(context.beliefs).length === 0
          ? [say('shift.window', { ...recipeOf(context).window })]
          : []),
      ],
      entries: [
        {
          kind: 'shift opened',
          at,
          coffee: context.coffee,
          grinder: context.grinder,
          recipe: context.recipe,
          ...(context.person !== null && { person: context.person }),
        },
      ],
    }
  },

  closeShift: (context, event) => {
    const at = nowOf(context, event)
    return {
      change: { undo: [], pours: [], stopHeard: null },
      unwatch: context.pours.map(({ id }) => id),
      cues: [
        ...context.pours.map(({ id }) => ({ kind: 'cancel', tag: pourTag(id) }) as const),
        logged,
        say('shift.closed'),
      ],
      entries: [{ kind: 'shift closed', at }],
      tell: [{ type: 'report wanted', of: 'shift' }],
    }
  },

  chooseCoffee: (context, event, place) => {
    const { number } = as(event, 'coffee').slots
    if (!isWithin(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    const at = nowOf(context, event)
    const chosen: NewEntry = { kind: 'coffee chosen', at, coffee: number }
    // a coffee is in the hopper of a grinder: choosing it means going there
    const holder = Object.keys(context.others)
      .map(Number)
      .find((grinder) => context.coffee !== number && context.others[grinder]?.coffee === number)
    if (holder !== undefined) {
      const effect = switchGrinder(context, place, holder, at)
      return { ...effect, entries: [...(effect.entries ?? []), chosen] }
    }
    // into the hopper of the one in use; the beans before are still on their way through it
    return switched(
      context,
      place,
      { coffee: number, purged: context.purged && (!context.isWorked || context.coffee === number) },
      chosen,
      say('shift.coffee', { number }),
    )
  },

  chooseGrinder: (context, event, place) => {
    const { number } = as(event, 'grinder').slots
    if (!isWithin(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    return switchGrinder(context, place, number, nowOf(context, event))
  },

  choosePerson: (context, event, place) => {
    const { number } = as(event, 'person').slots
    if (!isWithin(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    return undoable(context, place, {
      change: { person: number },
      cues: [say('shift.person', { number })],
      entries: [{ kind: 'person chosen', at: nowOf(context, event), person: number }],
    })
  },

  /** Whoever was erased is not at the bar any more: nothing more is logged with that number, not by an undo either. */
  forgetPerson: (context, event) => {
    if (event.type !== 'erased') return {}
    const isErased = (person: number | null | undefined) => person === event.person
    return {
      change: {
        person: isErased(context.person) ? null : context.person,
        undo: context.undo.map((step) =>
          isErased(step.work.person) ? { ...step, work: { ...step.work, person: null } } : step,
        ),
      },
    }
  },

  newBag: (context, event, place) => {
    const at = nowOf(context, event)
    const belief = context.beliefs[beliefKey(context)]
    return switched(
      context,
      place,
      {
        drifts: withDrift(context, beginDriftMonitor()),
        ...(belief && {
          beliefs: { ...context.beliefs, [beliefKey(context)]: carryOver(belief, 'new bag', at) },
        }),
      },
      { kind: 'new bag', at, coffee: context.coffee },
      say('shift.bag'),
    )
  },

  noteRoast: (context, event, place) => {
    const { days } = as(event, 'roasted').slots
    if (!isWithin(days, ranges.beanAge)) return refuse('trouble.days', days, ranges.beanAge)
    const at = nowOf(context, event)
    const { coffee } = context
    return undoable(context, place, {
      change: { roasted: { ...context.roasted, [coffee]: at - days * secondsADay } },
      cues: [logged, say('shift.roasted', { days })],
      entries: [{ kind: 'roasted', at, coffee, days }],
    })
  },

  noteRoom: (context, event, place) => {
    const { reading, amount } = as(event, 'room').slots
    if (!isWithin(amount, ranges[reading])) return refuse(`trouble.${reading}`, amount, ranges[reading])
    return undoable(context, place, {
      change: { room: { ...context.room, [reading]: amount } },
      cues: [logged, say(`shift.${reading}`, { amount })],
      entries: [{ kind: 'room read', at: nowOf(context, event), [reading]: amount }],
    })
  },

  calibrate: (context, _event, place) =>
    undoable(context, place, {
      change: { tally: { ...context.tally, shotsToHit: null, sinceCalibration: 0 } },
      cues: [say('shift.calibrate')],
    }),
} satisfies Record<string, LoopAction>
