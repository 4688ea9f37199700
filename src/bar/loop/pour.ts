import { pullShot } from '../../coffee/index.ts'
import type { NewEntry } from '../events.ts'
import { entryId } from '../ids.ts'
import { earcon, prompt, say, warn } from '../say.ts'
import { as, nowOf, undoable, type Effect, type LoopAction } from './effect.ts'
import { endPour, withoutPour } from './endPour.ts'
import {
  newShot,
  recipeOf,
  setupNow,
  useGrinder,
  type LoopContext,
  type Pour,
  type ShotSetup,
  type Work,
} from './loopContext.ts'
import { pourMarks, pourStarted, pourTag } from './pourMarks.ts'
import { endOf, latestPour, pourOf, startOf } from './whichPour.ts'

const windowOf = (context: LoopContext, { setup }: Pour) =>
  recipeOf({ ...context, recipe: setup.recipe }).window

/** A basket that was not pulled after all: the old grounds that it holds are still to come. */
function notPulled(context: LoopContext, setup: ShotSetup): Partial<Work> {
  const there = useGrinder(context, setup.grinder)
  if (setup.purged || there.notch !== setup.notch) return {}
  const { grinder, notch, purged, coffee, isWorked, others } = useGrinder(
    { ...there, purged: false },
    context.grinder,
  )
  return { grinder, notch, purged, coffee, isWorked, others }
}

/** A pour that was none: the basket is still as it was dosed. */
const abort = (context: LoopContext, pour: Pour, effect: Effect): Effect => ({
  ...effect,
  change: {
    ...notPulled(context, pour.setup),
    ...withoutPour(context, pour),
    dose: pour.dose ?? null,
    stopHeard: null,
  },
  unwatch: [pour.id],
  cues: [{ kind: 'cancel', tag: pourTag(pour.id) }, ...(effect.cues ?? [])],
})

/** A pour whose time nobody can vouch for. */
const lost = (context: LoopContext, pour: Pour, at: number): Effect => {
  const entry: NewEntry = { kind: 'lost', at, what: 'pour', since: pour.start }
  return {
    ...abort(context, pour, { cues: [earcon('trouble'), warn('pour.lost')] }),
    entries: [entry],
  }
}

/** The pour, from the button to its end. */
export const pourActions = {
  promptReady: () => ({ cues: [prompt('ready.prompt')] }),

  beginPour: (context, event, place) => {
    const start = startOf(context, event)
    if ('refusal' in start) return { cues: [earcon('not understood'), start.refusal] }
    const onset = nowOf(context, event)
    const recipe = recipeOf(context)
    // every pour is a shot of its own: what the log holds of one that was taken back is not the next one's
    const id = entryId('loop', onset, context.made)
    const practice = context.bench
      ? pullShot(context.bench, { notch: context.notch, recipe, at: onset })
      : undefined
    const pour: Pour = {
      ...newShot(id),
      ...(context.dose !== null && { dose: context.dose }),
      start: onset,
      group: start.group,
      setup: setupNow(context),
      ...(practice && { practice: { seconds: practice.shot.seconds, looks: practice.shot.looks } }),
    }
    const renamed = start.running.filter((running) => !context.pours.includes(running))
    const effect = undoable(
      context,
      place,
      {
        // a full dose carries the old grounds out of the grinder, whether "purged" was said or not
        change: { dose: null, purged: true, isWorked: true, ...(practice && { bench: practice.bench }) },
        cues: [
          ...renamed.flatMap((running) => [
            { kind: 'cancel', tag: pourTag(running.id) } as const,
            ...pourMarks(running, windowOf(context, running), onset),
          ]),
          ...pourStarted(pour, recipe.window, practice?.shot),
        ],
        watch: [{ shot: id, start: onset, practiceSeconds: practice?.shot.seconds ?? null }],
      },
      { began: id },
    )
    // entry ids come of what was made: two pours that begin at the same moment differ
    return {
      ...effect,
      change: { ...effect.change, pours: [...start.running, pour], made: context.made + 1 },
    }
  },

  noteFirstDrip: (context, event) => {
    const pour = latestPour(context)
    if (!pour) return {}
    const firstDrip = nowOf(context, event) - pour.start
    return {
      change: { pours: withPour(context, { ...pour, firstDrip }) },
      cues: [say('pour.time-now', { seconds: Math.round(firstDrip) })],
    }
  },

  /** A sign that is said while it pours. Blond is early only before the window opens. */
  noteSign: (context, event) => {
    const pour = latestPour(context)
    if (!pour) return {}
    const { look } = as(event, 'look').slots
    const isTimely =
      look === 'blond early' && nowOf(context, event) - pour.start >= windowOf(context, pour).opens
    const looks = isTimely ? pour.looks : [...new Set([...pour.looks, look])]
    return { change: { pours: withPour(context, { ...pour, looks }) }, cues: [say('shot.seen')] }
  },

  endPour: (context, event, place) => {
    const pour = pourOf(context, event)
    const end = endOf(context, event)
    return pour ? endPour(context, place, pour, end, nowOf(context, event)) : {}
  },

  /** Two pour, and which one ended was not said. The moment is kept. */
  askWhich: (context, event) => ({
    change: { stopHeard: nowOf(context, event) },
    cues: [warn('pour.which')],
  }),

  noPourThere: (_context, event) =>
    event.type === 'stop group'
      ? { cues: [earcon('not understood'), say('pour.none-there', { group: `word.${event.slots.group}` })] }
      : {},

  falseStart: (context, event) => {
    const pour = event.type === 'undo' ? latestPour(context) : pourOf(context, event)
    return pour ? abort(context, pour, { cues: [say('pour.false-start')] }) : {}
  },

  askForgotten: (context, event) => {
    const pour = pourOf(context, event)
    if (!pour) return {}
    return { cues: [warn('pour.forgotten', { seconds: Math.round(nowOf(context, event) - pour.start) })] }
  },

  /** A pour whose start or end was missed, with the times that a person agreed to. */
  countMissedPour: (context, event, place) => {
    if (event.type !== 'missed pour') return {}
    const { start, end, at } = event
    const running = context.pours.find((pour) => pour.start === start)
    if (running) return endPour(context, place, running, end, at)
    const pour: Pour = {
      ...newShot(entryId('loop', start, context.made)),
      ...(context.dose !== null && { dose: context.dose }),
      start,
      group: null,
      setup: setupNow(context),
    }
    const effect = endPour(context, place, pour, end, at)
    // as at the start of any pour: the dose carried the old grounds out
    return { ...effect, change: { ...effect.change, dose: null, purged: true, isWorked: true } }
  },

  resumePour: (context, event) => {
    const pour = pourOf(context, event)
    if (!pour) return {}
    return {
      cues: [warn('pour.restored'), ...pourMarks(pour, windowOf(context, pour), nowOf(context, event))],
    }
  },

  losePour: (context, event) => {
    const pour = pourOf(context, event)
    return pour ? lost(context, pour, nowOf(context, event)) : {}
  },

  /** The time, for the pours that are watched. */
  watchPours: (_context, event) =>
    event.type === 'tick' || event.type === 'resumed' ? { toPours: event } : {},
} satisfies Record<string, LoopAction>

const withPour = (context: LoopContext, changed: Pour) =>
  context.pours.map((pour) => (pour.id === changed.id ? changed : pour))
