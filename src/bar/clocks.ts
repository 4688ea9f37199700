import type { RecipeName, Which } from '../messages/command.ts'
import type { BarContext } from './barContext.ts'
import type { BarAction } from './effect.ts'
import { handOffTag, type HandOffClock } from './handOff/handOffCues.ts'
import { entryId } from './ids.ts'
import { say, warn } from './say.ts'

/** The clocks a command means: named by cup, the latest, all, or the one that has waited longest. */
export function chosen(waiting: readonly HandOffClock[], which: Which): readonly HandOffClock[] {
  switch (which) {
    case 'all':
      return waiting
    case 'last':
      return waiting.slice(-1)
    case null:
      return waiting.slice(0, 1)
    case 'first':
    case 'second':
    case 'third': {
      const cup = { first: 1, second: 2, third: 3 }[which]
      return waiting.filter(({ voice }) => voice === cup)
    }
  }
}

/** The lowest cup numbers that no running clock has. */
function freeCups(waiting: readonly HandOffClock[], count: number): number[] {
  const taken = new Set(waiting.map(({ voice }) => voice))
  const free: number[] = []
  for (let cup = 1; free.length < count; cup++) if (!taken.has(cup)) free.push(cup)
  return free
}

const endAll = (ended: readonly HandOffClock[], at: number) =>
  ended.map((clock) => ({ tag: handOffTag(clock), event: { type: 'discard', at } as const }))

/** After this many cups in a row whose liquid nobody named, that is how somebody works. */
const habit = 3

/** A drill on the hand-off has clocks whatever the house does. */
const hasNoClock = ({ settings, drillInput }: BarContext, recipe: RecipeName) =>
  settings.withoutClock.includes(recipe) && !drillInput

/** The hand-off clocks: one for each cup that waits. */
export const clockActions = {
  setCups: (_context, event) => {
    if (event.type !== 'cups') return {}
    const { count } = event.slots
    return { change: { cups: count }, cues: [say('shot.cups', { count })] }
  },

  startClocks: (context, event, { loop }) => {
    if (event.type !== 'poured') return {}
    if (event.mayBeServed && hasNoClock(context, loop.current.setup?.recipe ?? loop.recipe)) {
      const clock = { shot: event.shot, voice: 1, start: event.end, limit: context.settings.handOffLimit }
      const inTheDrink = { outcome: 'served', margin: clock.limit, at: event.at } as const
      // nothing is logged: where it went was not said
      return { change: { cups: 1 }, toLoop: [{ type: 'hand-off ended', clock, ...inTheDrink }] }
    }
    const cups = event.cups ?? context.cups
    // a named cup needs its name only when another could be meant
    const several = cups + context.waiting.length > 1
    const clocks = freeCups(context.waiting, cups).map((voice): HandOffClock => ({
      shot: event.shot,
      voice,
      start: event.end,
      limit: context.settings.handOffLimit,
    }))
    if (!event.mayBeServed)
      return { change: { cups: 1, condemned: { shot: event.shot, clocks, entries: [] } } }
    return {
      change: { waiting: [...context.waiting, ...clocks], cups: 1 },
      startClocks: clocks.map((clock) => ({ clock, now: event.at, several })),
    }
  },

  serve: (context, event) => {
    if (event.type !== 'hand off') return {}
    const { which, into } = event.slots
    return {
      toClocks: chosen(context.waiting, which).map((clock) => ({
        tag: handOffTag(clock),
        event: { type: 'serve', into, at: event.onset },
      })),
    }
  },

  refuseLiquid: (_context, event) =>
    event.type === 'hand off refused' ? { cues: [warn(`handoff.not-liquid.${event.slots.into}`)] } : {},

  noCup: () => ({ cues: [say('handoff.none')] }),

  /** The cups that a command named, after its yes. */
  discard: (context, event) => {
    if (context.pending?.type !== 'discard' || !('onset' in event)) return {}
    return {
      toClocks: endAll(chosen(context.waiting, context.pending.slots.which), event.onset),
      cues: [say('handoff.discarded')],
    }
  },

  /** The cups of a shot that must not be served. */
  condemn: (context, event) => {
    if (event.type !== 'condemned') return {}
    const clocks = context.waiting.filter(({ shot }) => shot === event.shot)
    return {
      change: { condemned: { shot: event.shot, clocks, entries: [] } },
      toClocks: endAll(clocks, event.at),
    }
  },

  /** It is served all the same: its cups wait with the time they have left. */
  overrule: (context, event) => {
    if (event.type !== 'overruled' || context.condemned?.shot !== event.shot) return {}
    const { clocks, entries } = context.condemned
    const { at } = event
    const several = clocks.length + context.waiting.length > 1
    return {
      change: { condemned: null, waiting: [...context.waiting, ...clocks] },
      entries: entries.map((entry) => ({ kind: 'taken back', at, entry })),
      startClocks: clocks.map((clock) => ({ clock, now: at, several })),
    }
  },

  /** A pour was taken back: its clocks never were. */
  dropClocks: (context, event) => {
    if (event.type !== 'unpoured') return {}
    const dropped = context.waiting.filter(({ shot }) => shot === event.shot).map(handOffTag)
    return {
      change: { waiting: context.waiting.filter(({ shot }) => shot !== event.shot) },
      toClocks: dropped.map((tag) => ({ tag, event: { type: 'drop' } })),
      stopClocks: dropped,
    }
  },

  logHandOff: (context, event, { place }) => {
    if (event.type !== 'hand-off ended') return {}
    const { clock, outcome, into, margin, at } = event
    const tag = handOffTag(clock)
    const id = entryId('bar', at, context.made)
    const { condemned } = context
    const unnamed = outcome === 'expired' ? [...context.unnamed, id] : []
    const isHabit = unnamed.length >= habit && context.clockOffered === null && !context.drillInput
    return {
      change: {
        ...(outcome === 'discarded' &&
          condemned?.shot === clock.shot && {
            condemned: { ...condemned, entries: [...condemned.entries, id] },
          }),
        waiting: context.waiting.filter((other) => handOffTag(other) !== tag),
        lastHandOff: outcome === 'served' ? { ended: event, entry: id } : context.lastHandOff,
        unnamed,
      },
      ...(isHabit && place !== 'pouring' && { raise: [{ type: 'offer no clock', at }] }),
      entries: [{ kind: 'hand-off', at, shot: clock.shot, outcome, margin, ...(into && { into }) }],
      toWork: [event],
      stopClocks: [tag],
    }
  },

  offerNoClock: (_context, event) =>
    event.type === 'offer no clock'
      ? { change: { clockOffered: event.at }, cues: [warn('handoff.offer')] }
      : {},

  /** The cups that seemed to stand too long went somewhere: what was logged of them is taken back. */
  leaveOutClock: (context, event, { loop }) =>
    'onset' in event
      ? {
          change: { unnamed: [] },
          entries: context.unnamed.map((entry) => ({ kind: 'taken back', at: event.onset, entry })),
          raise: [
            {
              type: 'new settings',
              settings: {
                ...context.settings,
                withoutClock: [...new Set([...context.settings.withoutClock, loop.recipe])],
              },
              setting: 'withoutClock',
              at: event.onset,
            },
          ],
        }
      : {},

  /** "Undo that" after a hand-off: the cup is still waiting, with the time it has left. */
  reopen: (context, event) => {
    if (event.type !== 'undo' || !context.lastHandOff) return {}
    const { ended, entry } = context.lastHandOff
    const { clock } = ended
    const at = event.onset
    return {
      change: { lastHandOff: null, waiting: [...context.waiting, clock] },
      cues: [say('handoff.reopened')],
      entries: [{ kind: 'taken back', at, entry }],
      toLoop: [{ type: 'hand-off reopened', clock }],
      startClocks: [{ clock, now: at, several: context.waiting.length > 0 }],
    }
  },
} satisfies Record<string, BarAction>

/** Whether a cup that a command names is waiting. */
export const isCupNamed = (context: BarContext, which: Which) => chosen(context.waiting, which).length > 0
