import { pullShot } from '../../coffee/index.ts'
import type { NewEntry } from '../events.ts'
import { entryId } from '../ids.ts'
import { earcon, prompt, say, warn } from '../say.ts'
import { assess, judged, stepCues, driftCues, warningEntries } from './assess.ts'
import { as, nowOf, undoable, type Effect, type LoopAction } from './effect.ts'
import { newShot, recipeOf, type CurrentShot, type LoopContext, type Place } from './loopContext.ts'
import { marksUntil, pourEnded, pourMarks, pourStarted, pourTag } from './pourMarks.ts'

/** The shot in hand as it was before its pour began. */
const dosed = ({ id, dose }: CurrentShot): CurrentShot => ({
  ...newShot(id),
  ...(dose !== undefined && { dose }),
})

/** The pour has ended: time, verdict, advice; the log; the drift monitor; the hand-off clocks. */
function endPour(context: LoopContext, place: Place, end: number, at: number): Effect {
  const recipe = recipeOf(context)
  const start = context.current.start ?? end
  const seconds = context.current.practice?.seconds ?? end - start
  const pulled: CurrentShot = {
    ...context.current,
    end,
    seconds,
    looks: context.current.practice?.looks ?? context.current.looks,
    entry: entryId('loop', at, context.made),
  }
  const tally = {
    ...context.tally,
    shots: context.tally.shots + 1,
    sinceCalibration: context.tally.sinceCalibration + 1,
  }
  const { change, step, judgement, isFirstHit, warning } = assess({ ...context, tally }, pulled)
  const { current } = change
  const { serve } = judgement
  const shot: NewEntry = {
    kind: 'shot',
    at,
    shot: current.id,
    recipe: context.recipe,
    coffee: context.coffee,
    grinder: context.grinder,
    ...(context.person !== null && { person: context.person }),
    seconds,
    windowOpens: recipe.window.opens,
    windowCloses: recipe.window.closes,
    notch: context.notch,
    ...(current.dose !== undefined && { dose: current.dose }),
    ...(current.firstDrip !== undefined && { firstDrip: current.firstDrip }),
    purged: context.purged,
    practice: context.settings.practice,
  }
  return undoable(
    context,
    place,
    {
      // advice and drift wait until the cup is in a liquid: those ten seconds belong to the hand-off
      change: {
        ...change,
        forgottenSaid: false,
        stepSaid: !serve,
        driftToSay: serve ? warning : null,
      },
      cues: [
        ...(serve ? [] : [warn('shot.condemned')]),
        ...pourEnded(seconds, recipe.window),
        ...(isFirstHit && tally.sinceCalibration > 1
          ? [say('shot.first-hit', { shots: tally.sinceCalibration })]
          : []),
        ...(serve ? [] : [...stepCues(context, step), ...driftCues(warning)]),
      ],
      entries: [
        shot,
        ...(serve ? [] : [judged(current, step, serve, at)]),
        ...warningEntries(warning, current, at),
      ],
      tell: [{ type: 'poured', shot: current.id, end, at, mayBeServed: serve }],
    },
    { poured: current.id },
  )
}

/** The pour, from the button to its end. */
export const pourActions = {
  promptReady: () => ({ cues: [prompt('ready.prompt')] }),
  beginPour: (context, event, place) => {
    const { onset } = as(event, 'start pour')
    const recipe = recipeOf(context)
    // every pour is a shot of its own: what the log holds of one that was taken back is not the next one's
    const id = entryId('loop', onset, context.made)
    const fresh = context.current.seconds === undefined ? { ...context.current, id } : newShot(id)
    const practice = context.bench
      ? pullShot(context.bench, { notch: context.notch, recipe, at: onset })
      : undefined
    return undoable(context, place, {
      change: {
        current: {
          ...fresh,
          start: onset,
          ...(practice && { practice: { seconds: practice.shot.seconds, looks: practice.shot.looks } }),
        },
        ...(practice && { bench: practice.bench }),
        forgottenSaid: false,
      },
      cues: pourStarted(onset, recipe.window, practice?.shot),
    })
  },

  noteFirstDrip: (context, event) => {
    const firstDrip = nowOf(context, event) - (context.current.start ?? 0)
    return {
      change: { current: { ...context.current, firstDrip } },
      cues: [say('pour.time-now', { seconds: Math.round(firstDrip) })],
    }
  },

  /** A sign that is said while it pours. Blond is early only before the window opens. */
  noteSign: (context, event) => {
    const { look } = as(event, 'look').slots
    const seconds = nowOf(context, event) - (context.current.start ?? 0)
    const isTimely = look === 'blond early' && seconds >= recipeOf(context).window.opens
    const looks = isTimely ? context.current.looks : [...new Set([...context.current.looks, look])]
    return { change: { current: { ...context.current, looks } }, cues: [say('shot.seen')] }
  },

  endPour: (context, event, place) => {
    const { onset } = as(event, 'stop pour')
    return endPour(context, place, onset, onset)
  },

  endPracticePour: (context, _event, place) => {
    const end = (context.current.start ?? 0) + (context.current.practice?.seconds ?? 0)
    return endPour(context, place, end, end)
  },

  /** The basket is still as it was dosed; only the pour is forgotten. */
  falseStart: (context) => ({
    change: { current: dosed(context.current), undo: context.undo.slice(0, -1) },
    cues: [{ kind: 'cancel', tag: pourTag }, say('pour.false-start')],
  }),

  askForgotten: (context, event) => ({
    change: { forgottenSaid: true },
    cues: [
      warn('pour.forgotten', {
        seconds: Math.round(nowOf(context, event) - (context.current.start ?? 0)),
      }),
    ],
  }),

  resumePour: (context, event) => ({
    cues: [
      warn('pour.restored'),
      ...pourMarks(context.current.start ?? 0, recipeOf(context).window, nowOf(context, event)),
    ],
  }),

  losePour: (context, event) => ({
    change: { current: newShot(context.current.id) },
    cues: [earcon('trouble'), warn('pour.lost')],
    entries: [{ kind: 'lost', at: nowOf(context, event), what: 'pour', since: context.current.start ?? 0 }],
  }),
} satisfies Record<string, LoopAction>

/** Whether a pour has run so long that its marks have ended. */
export const isForgotten = (context: LoopContext, at: number) =>
  !context.forgottenSaid && context.current.start !== undefined && at - context.current.start > marksUntil
