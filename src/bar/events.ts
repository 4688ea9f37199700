import type { Command, Intent } from '../messages/command.ts'
import type { Cue } from '../messages/cue.ts'
import type { Entry } from '../messages/entry.ts'

/** A command as a machine event: the intent is its type. */
export type CommandEvent = { [I in Intent]: Extract<Command, { intent: I }> & { type: I } }[Intent]

/** Turns a command, wherever it came from, into the event the machines react to. */
export const toEvent = (command: Command): CommandEvent =>
  ({ ...command, type: command.intent }) as CommandEvent

/** An entry whose id its maker has yet to give. */
export type NewEntry = Entry extends infer E ? (E extends Entry ? Omit<E, 'id'> : never) : never

/** What a child machine sends up: its parent performs the cues and logs the entries, in order. */
export type Upward = { type: 'out'; cues?: readonly Cue[]; entries?: readonly Entry[] }

/** The time of day, a few times a second. All deadlines are compared with it; none rests on a timeout. */
export type Tick = { type: 'tick'; at: number }

/** The app came back after a reload or a crash; `at` is the bar time now. */
export type Resumed = { type: 'resumed'; at: number }
