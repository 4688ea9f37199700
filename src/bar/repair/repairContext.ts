import type { CommandEvent } from '../events.ts'

/** What was asked to repair a misunderstanding, and what a yes does. */
export type RepairQuestion =
  /** a half understood command; `commands` has one, or two to choose from */
  { kind: 'guess'; commands: readonly CommandEvent[]; at: number }

/** What the bar knows of words that it did not obey. */
export interface Repair {
  /** the question that waits for its answer */
  readonly question: RepairQuestion | null
  /** phrases in a row, meant for the tool, of which it made no command */
  readonly misses: number
}

export const noRepair: Repair = { question: null, misses: 0 }

/** Seconds after which a question is no longer waiting for its answer. */
export const answerWithin = 12
