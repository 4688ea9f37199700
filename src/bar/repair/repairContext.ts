import type { CommandEvent } from '../events.ts'

/** What was asked to repair a misunderstanding, and what a yes does. `at`: when it was asked, bar clock. */
export type RepairQuestion = { at: number } & (
  | {
      /** a half understood command; one, or two to choose from */
      kind: 'guess'
      commands: readonly CommandEvent[]
    }
  /** a shot whose start was not obeyed: from a sound that may have been it to the word that ended it */
  | { kind: 'missed start'; start: number; end: number }
  /** a pour whose end was not obeyed, as what was said after it shows; `then` is that */
  | { kind: 'missed stop'; start: number; end: number; then: CommandEvent }
  /** no sound can have been its start or its end: the time is wanted in seconds; one of the two is known */
  | { kind: 'time wanted'; start: number; end: null }
  | { kind: 'time wanted'; start: null; end: number }
  /** whether the grind was moved as advised; `then` is what was said instead of the move */
  | { kind: 'moved'; move: Extract<CommandEvent, { type: 'grind by' }>; then: CommandEvent | null }
  /** which way it was moved, since a purge without a move makes no sense */
  | { kind: 'which way'; then: CommandEvent }
)

/** A sound that was not obeyed. It may have been the start or the end of a pour. */
export interface MissedSound {
  onset: number
  /** the chance that it was the word, as far as the ear could tell; 0 to 1 */
  start: number
  stop: number
  /** nothing is known of it but that it was short and by itself */
  isUnknown: boolean
}

/** What the bar knows of words that it did not obey. */
export interface Repair {
  /** the question that waits for its answer */
  readonly question: RepairQuestion | null
  /** phrases in a row, meant for the tool, of which it made no command */
  readonly misses: number
  /** sounds of the last two minutes, latest last */
  readonly missed: readonly MissedSound[]
  /** what is done once the shot of a missed stop is counted */
  readonly then: CommandEvent | null
}

export const noRepair: Repair = { question: null, misses: 0, missed: [], then: null }

/** Seconds after which a question is no longer waiting for its answer. */
export const answerWithin = 12
