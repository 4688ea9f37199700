import { observePurge, purgeBench } from '../../coffee/index.ts'
import { entryId } from '../ids.ts'
import { logged, prompt, refuse, say } from '../say.ts'
import { as, nowOf, undoable, type Effect, type LoopAction, type LoopEvent } from './effect.ts'
import {
  beliefKey,
  isWithin,
  newShot,
  ranges,
  recipeWord,
  type LoopContext,
  type Place,
} from './loopContext.ts'

/** Moves the grind and starts the next shot. */
function move(context: LoopContext, event: LoopEvent, place: Place, notches: number): Effect {
  const at = nowOf(context, event)
  const notch = context.notch + notches
  return undoable(context, place, {
    change: {
      notch,
      purged: notches === 0 ? context.purged : false,
      current: newShot(entryId('loop', at, context.made)),
      step: null,
    },
    cues: [
      logged,
      say('grind.moved', {
        notch,
        notches: Math.abs(notches),
        direction: notches < 0 ? 'word.coarser' : 'word.finer',
      }),
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

  leaveGrind: (context, _event, place) =>
    undoable(context, place, { cues: context.purged ? [] : [say('grind.unpurged')] }),
  moveGrind: (context, event, place) => {
    const { notches } = as(event, 'grind by').slots
    if (!isWithin(Math.abs(notches), ranges.move))
      return refuse('trouble.notches', Math.abs(notches), ranges.move)
    if (!isWithin(context.notch + notches, ranges.notch))
      return refuse('trouble.notch', context.notch + notches, ranges.notch)
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
    if (context.tally.shots > 0) return move(context, event, place, notch - context.notch)
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
