import type { LogRecord } from './record.ts'

/** A stretch of the log by record id; both ends included. Without an end it is open there. */
interface Range {
  from?: string
  to?: string
  /** at most this many */
  limit?: number
  /** last first */
  descending?: boolean
}

/** A small value kept beside the log, never replicated and never exported. */
export type Note = { key: string; value: unknown }

/** Where records are kept. One writer at a time: the logbook sees to that. */
export interface Store {
  /** Adds records and notes together or not at all; resolves when they are safe from a killed process and a power cut. */
  add(records: readonly LogRecord[], notes: readonly Note[]): Promise<void>
  /** Records in the order of their ids. */
  range(range: Range): Promise<LogRecord[]>
  /** The records of these ids that there are. */
  get(ids: readonly string[]): Promise<LogRecord[]>
  /**
   * How many of these a newer program wrote, and how many are not whole: they are kept, and {@link range} and
   * {@link get} pass them over.
   */
  unread(ids: readonly string[]): Promise<{ newer: number; damaged: number }>
  /** The note, or `undefined`. */
  note(key: string): Promise<unknown>
  /** Writes records over those of the same ids and leaves nothing of the old text; for erasure only. */
  overwrite(records: readonly LogRecord[]): Promise<void>
  /** Removes records and leaves nothing of their text; for erasure only. */
  remove(ids: readonly string[]): Promise<void>
  /** The mark of now, for {@link changedSince}. */
  mark(): Promise<number>
  /** The ids that were added, overwritten or removed after `since`, and the mark to ask from next time. */
  changedSince(since: number): Promise<{ ids: string[]; mark: number }>
  close(): Promise<void>
}
