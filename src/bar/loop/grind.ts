import { observePurge, purgeBench } from '../../coffee/index.ts'
import { entryId } from '../ids.ts'
import { logged, prompt, refuse, say } from '../say.ts'
import { as, nowOf, undoable, type Effect, type LoopAction, type LoopEvent } from './effect.ts'
import {
  beliefKey,
  grinderChange,
  isWithin,
  newShot,
  ranges,
  recipeWord,
  useGrinder,
  type LoopContext,
  type Place,
} from './loopContext.ts'

/** The grinder that a move is about: in the judgement of a shot the one it was ground on, else the one in use. */
export const grinderToMove = (context: LoopContext, place: Place): LoopContext =>
  place === 'judge' || place === 'adjust'
    ? useGrinder(context, context.current.setup?.grinder ?? context.grinder)
    : context

/** Moves the grind and starts the next shot. */
function move(before: LoopContext, event: LoopEvent, place: Place, notches: number): Effect {
  const context = grinderToMove(before, place)
  const at = nowOf(context, event)
  const notch = context.notch + notches
  const values = {
    grinder: context.grinder,
    notch,
    notches: Math.abs(notches),
    direction: notches < 0 ? 'word.coarser' : 'word.finer',
  } as const
  return undoable(before, place, {
    change: {
      ...grinderChange(before, context.grinder),
      notch,
      dose: null,
      purged: notches === 0 ? context.purged : false,
      current: newShot(entryId('loop', at, context.made)),
      step: null,
    },
    cues: [
      logged,
      say(Object.keys(context.others).length > 0 ? 'grind.moved.grinder' : 'grind.moved', values),
    ],
    entries: [{ kind: 'grind moved', at, notches, notch, advised: context.step?.notches ?? null }],
  })
}

/** The grind: moves, the purge, and leaving it. */
export const grindActions = {
  promptGrind: (context) => ({
    cues: [
      context.purged
        ? prompt('grind.prompt', { recipe: recipeWord(context), notch: context.notch })
        : prompt('grind.purge'),
    ],
  }),
  promptAdjust: () => ({ cues: [prompt('adjust.prompt')] }),

  moveGrind: (context, event, place) => {
    const { notches } = as(event, 'grind by').slots
    if (!isWithin(Math.abs(notches), ranges.move))
      return refuse('trouble.notches', Math.abs(notches), ranges.move)
    const notch = grinderToMove(context, place).notch + notches
    if (!isWithin(notch, ranges.notch)) return refuse('trouble.notch', notch, ranges.notch)
    return move(context, event, place, notches)
  },

  moveInDrill: (context, event) => {
    if (event.type !== 'moved in drill') return {}
    const { notches, at } = event
    const notch = context.notch + notches
    return {
      change: { notch, purged: false },
      entries: [{ kind: 'grind moved', at, notches, notch, advised: null }],
    }
  },

  moveAdvised: (context, event, place) => move(context, event, place, context.step?.notches ?? 0),

  setGrind: (context, event, place) => {
    const { notch } = as(event, 'grind at').slots
    if (!isWithin(notch, ranges.notch)) return refuse('trouble.notch', notch, ranges.notch)
    // before the first shot this names the setting; later it is a move like any other
    const there = grinderToMove(context, place)
    if (there.isWorked) return move(context, event, place, notch - there.notch)
    return undoable(context, place, {
      change: { notch },
      cues: [logged, say('grind.at', { notch })],
      entries: [
        {
          kind: 'grind moved',
          at: nowOf(context, event),
          notches: notch - context.notch,
          notch,
          advised: null,
        },
      ],
    })
  },

  purge: (context, event, place) => {
    const at = nowOf(context, event)
    const belief = context.beliefs[beliefKey(context)]
    return undoable(context, place, {
      change: {
        purged: true,
        ...(belief && {
          beliefs: {
            ...context.beliefs,
            [beliefKey(context)]: observePurge(belief, { notch: context.notch, at }),
          },
        }),
        ...(context.bench && { bench: purgeBench(context.bench, { notch: context.notch, at }) }),
      },
      cues: [logged, say('grind.purged')],
      entries: [{ kind: 'purged', at }],
    })
  },

  leaveIt: (context, event, place) =>
    undoable(context, place, {
      change: { current: newShot(entryId('loop', nowOf(context, event), context.made)) },
      cues: [say('adjust.left')],
    }),
} satisfies Record<string, LoopAction>
