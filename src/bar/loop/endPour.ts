import type { NewEntry } from '../events.ts'
import { entryId } from '../ids.ts'
import { say, warn } from '../say.ts'
import { assess, driftCues, judged, stepCues, warningEntries } from './assess.ts'
import { undoable, type Effect } from './effect.ts'
import { recipeOf, type CurrentShot, type LoopContext, type Place, type Pour } from './loopContext.ts'
import { pourEnded } from './pourMarks.ts'

/** What a pour's end leaves of the others. */
export const withoutPour = (context: LoopContext, { id }: Pour) => ({
  pours: context.pours.filter((pour) => pour.id !== id),
  undo: context.undo.filter(({ began }) => began !== id),
})

/** A pour has ended: time, verdict, advice; the log; the drift monitor; the hand-off clocks. */
export function endPour(before: LoopContext, place: Place, pour: Pour, end: number, at: number): Effect {
  const rest = withoutPour(before, pour)
  const context = { ...before, undo: rest.undo }
  const { setup } = pour
  const recipe = recipeOf({ ...context, recipe: setup.recipe })
  const seconds = pour.practice?.seconds ?? end - pour.start
  const pulled: CurrentShot = {
    ...pour,
    end,
    seconds,
    looks: pour.practice?.looks ?? pour.looks,
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
    recipe: setup.recipe,
    coffee: setup.coffee,
    grinder: setup.grinder,
    ...(setup.person !== null && { person: setup.person }),
    seconds,
    windowOpens: recipe.window.opens,
    windowCloses: recipe.window.closes,
    notch: setup.notch,
    ...(current.dose !== undefined && { dose: current.dose }),
    ...(current.firstDrip !== undefined && { firstDrip: current.firstDrip }),
    purged: setup.purged,
    practice: context.settings.practice,
  }
  const effect = undoable(
    context,
    place,
    {
      // advice and drift wait until the cup is in a liquid: those ten seconds belong to the hand-off
      change: { ...change, stepSaid: !serve, driftToSay: serve ? warning : null },
      cues: [
        ...(serve ? [] : [warn('shot.condemned')]),
        ...pourEnded(pour, seconds, recipe.window),
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
      unwatch: [pour.id],
      tell: [{ type: 'poured', shot: current.id, end, at, mayBeServed: serve }],
    },
    { poured: current.id },
  )
  return { ...effect, change: { ...effect.change, pours: rest.pours, stopHeard: null } }
}
