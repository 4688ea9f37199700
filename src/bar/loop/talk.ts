import { createBench } from '../../coffee/index.ts'
import type { SentenceValues } from '../../messages/cue.ts'
import type { NewEntry } from '../events.ts'
import { earcon, logged, oneDecimal, say } from '../say.ts'
import { nowOf, undoable, type LoopAction, type LoopEvent } from './effect.ts'
import { recipeWord, type LoopContext } from './loopContext.ts'
import { latestPour } from './whichPour.ts'
import { whyNot } from './whyNot.ts'

/** Values of the `place.*` sentences. */
function placeValues(context: LoopContext, event: LoopEvent): SentenceValues {
  const now = nowOf(context, event)
  const pour = latestPour(context)
  return {
    recipe: recipeWord(context),
    coffee: context.coffee,
    grinder: context.grinder,
    notch: context.notch,
    shots: context.tally.shots,
    seconds: oneDecimal(pour ? Math.max(0, now - pour.start) : (context.current.seconds ?? 0)),
  }
}

/** Questions, undo and quiet. */
export const talkActions = {
  report: () => ({ tell: [{ type: 'report wanted', of: 'shift' }] }),
  reportWeek: () => ({ tell: [{ type: 'report wanted', of: 'week' }] }),

  status: (context, event, place) => ({ cues: [say(`place.${place}`, placeValues(context, event))] }),

  help: (context, _event, place) => ({
    cues: [say(`help.${place}`), ...(context.settings.prompts === 'long' ? [say('help.always')] : [])],
  }),

  why: (context) => ({
    cues: context.step ? [say(context.step.reason, { ...context.step.values })] : [say('talk.no-reason')],
  }),

  time: (context, event) => {
    const pour = latestPour(context)
    if (pour)
      return { cues: [say('pour.time-now', { seconds: Math.round(nowOf(context, event) - pour.start) })] }
    const last = context.tally.lastSeconds
    return {
      cues: [last !== null ? say('talk.last-time', { seconds: oneDecimal(last) }) : say('talk.no-time')],
    }
  },

  step: (context, _event, place) => undoable(context, place, {}),

  useSettings: (context, event) => {
    if (event.type !== 'new settings') return {}
    const { settings } = event
    return {
      change: {
        settings,
        bench: settings.practice ? (context.bench ?? createBench(context.randomSeed)) : null,
      },
    }
  },

  undo: (context, event) => {
    const step = context.undo.at(-1)
    if (!step) return { cues: [say('talk.nothing-to-undo')] }
    const at = nowOf(context, event)
    return {
      change: { ...step.work, undo: context.undo.slice(0, -1) },
      cues: [...(step.entries.length > 0 ? [logged] : []), say('talk.undone')],
      entries: step.entries.map((entry): NewEntry => ({ kind: 'taken back', at, entry })),
      tell: [
        ...(step.poured === undefined ? [] : [{ type: 'unpoured', shot: step.poured } as const]),
        ...(step.overruled === undefined ? [] : [{ type: 'condemned', shot: step.overruled, at } as const]),
      ],
    }
  },

  hush: () => ({ cues: [{ kind: 'hush' }] }),

  /** A command that makes no sense here is answered with the reason. */
  notNow: (_context, event, place) => {
    const reason = 'intent' in event ? whyNot(place, event.intent) : 'trouble.not-now'
    return reason ? { cues: [earcon('not understood'), say(reason)] } : {}
  },
} satisfies Record<string, LoopAction>
