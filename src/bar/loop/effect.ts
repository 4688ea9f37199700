import type { Cue } from '../../messages/cue.ts'
import type { Recipe } from '../../coffee/index.ts'
import type { CommandEvent, NewEntry, Resumed, Tick } from '../events.ts'
import type { HandOffEnded } from '../handOff/handOff.machine.ts'
import type { HandOffClock } from '../handOff/handOffCues.ts'
import { entryId } from '../ids.ts'
import type { PourEvent, PourInput } from './pour.machine.ts'
import type { Settings } from '../settings.ts'
import { remember, type LoopContext, type Place, type UndoStep, type Work } from './loopContext.ts'

/**
 * A pour has ended: the bar starts its hand-off clocks, unless the shot is not to be served.
 * `cups`: how many cups it is split into, when the bar was not told.
 */
export type Poured = {
  type: 'poured'
  shot: string
  end: number
  at: number
  cups?: number
  mayBeServed: boolean
}
/** A pour was taken back: its clocks are dropped. */
export type Unpoured = { type: 'unpoured'; shot: string }
/** A report is asked for: whoever has the log gives it. */
export type ReportWanted = { type: 'report wanted'; of: 'shift' | 'week' }
/** The shot must not be served, whatever its clock says. */
export type Condemned = { type: 'condemned'; shot: string; at: number }
/** It is served all the same: somebody said so. */
export type Overruled = { type: 'overruled'; shot: string; at: number }

export type HouseEvent =
  /** the house recipe as the log of all devices has it */
  | { type: 'house card'; house: Recipe; at: number }
  /** a part of the house recipe was chosen on the screen, of two that devices set apart */
  | { type: 'house settled'; change: HouseChange; at: number }

export type LoopEvent =
  | CommandEvent
  | Tick
  | Resumed
  | HandOffEnded
  /** a hand-off was taken back: its clock runs on */
  | { type: 'hand-off reopened'; clock: HandOffClock }
  | { type: 'new settings'; settings: Settings; at: number }
  /** the grind was moved in a drill */
  | { type: 'moved in drill'; notches: number; at: number }
  /** "end the shift" after its yes */
  | { type: 'shift ends'; at: number }
  /** a pour whose start or end was missed and that is counted after all; bar clock */
  | { type: 'missed pour'; start: number; end: number; at: number }
  | { type: 'erased'; person: number }
  | HouseEvent
  | PourEvent

/** What an action changes, sounds, logs and reports: a value, carried out by the machine. */
export interface Effect {
  change?: Partial<LoopContext>
  cues?: readonly Cue[]
  entries?: readonly NewEntry[]
  /** watches a pour that has begun, or no longer */
  watch?: readonly PourInput[]
  unwatch?: readonly string[]
  /** to every pour that is watched */
  toPours?: Tick | Resumed
  tell?: readonly (Poured | Unpoured | Condemned | Overruled | ReportWanted)[]
}

/** An action of the loop: what a command does in a place, as a pure function. */
export type LoopAction = (context: LoopContext, event: LoopEvent, place: Place) => Effect

/** The event as a command of one intent. Another event here is a mistake in the machine. */
export function as<I extends CommandEvent['type']>(
  event: LoopEvent,
  type: I,
): Extract<CommandEvent, { type: I }> {
  if (event.type !== type) throw new Error(`action for "${type}" was given "${event.type}"`)
  return event as Extract<CommandEvent, { type: I }>
}

/** Bar time of an event: of a command, when its first word began. */
export const timeOf = (event: LoopEvent, fallback: number) =>
  'onset' in event ? event.onset : 'at' in event ? event.at : fallback

export const nowOf = (context: LoopContext, event: LoopEvent) => timeOf(event, context.tally.openedAt)

/** Marks a change that "undo that" can take back. */
export function undoable(
  context: LoopContext,
  place: Place,
  effect: Effect,
  ended: Pick<UndoStep, 'poured' | 'overruled' | 'began'> = {},
): Effect {
  const before = Object.keys(effect.change ?? {}).map((key) => [key, context[key as keyof LoopContext]])
  return {
    ...effect,
    change: {
      ...effect.change,
      undo: remember(context, {
        place,
        work: Object.fromEntries(before) as Partial<Work>,
        // ids are given when the entries are made, in order from `made` on
        entries: (effect.entries ?? []).map((entry, index) =>
          entryId('loop', entry.at, context.made + index),
        ),
        ...ended,
      }),
    },
  }
}

/** Changes what is worked with: another coffee or grinder has a belief and a drift of its own. */
export const switched = (
  context: LoopContext,
  place: Place,
  change: Partial<LoopContext>,
  entry: NewEntry,
  ...cues: Cue[]
): Effect =>
  undoable(context, place, {
    change: { step: null, ...change },
    entries: [entry],
    cues,
  })

/** Parts of a recipe that are set together. */
export type HouseChange = Pick<Extract<NewEntry, { kind: 'recipe set' }>, 'dose' | 'yield' | 'window'>
