import type { Entry } from '../messages/entry.ts'
import { clockTolerance } from './hybridClock.ts'

/** The version of the record's layout that this program writes. `docs/logbook-format.md` describes each version. */
export const recordVersion = 1

/** Whether a newer program wrote it. */
export const isNewer = (value: unknown): boolean => {
  const version = (value as { version?: unknown } | null | undefined)?.version
  return typeof version === 'number' && version > recordVersion
}

/**
 * One entry as it is kept: the entry and where it comes from. Records are only ever added; the one exception is
 * the erasure of a person's data (`erase.ts`).
 */
export interface LogRecord {
  /** orders the log: see {@link recordId} */
  id: string
  version: number
  /** the bar whose log it is: what one bar's devices share */
  bar: string
  /** the device that wrote it */
  device: string
  /** 1 for the device's first record, then one more for each: no number is missing from a whole log */
  sequence: number
  /** the wall clock and its offset from UTC when it was written, RFC 3339 */
  wall: string
  /** the record that this one takes back or corrects, or the recipe's record that it was changed from */
  of?: string
  /** what taking back or correcting a shot changes in the counts of shots: see `effect.ts` */
  effect?: { coffee: number; shots: number; inWindow: number }
  entry: Entry
}

/** The last number that a device's name has room for; then it goes on under another name. */
export const largestSequence = 9_999_999

const idPattern = /^(\d{13})-([a-z0-9]{4,16})-(\d{7})$/

/**
 * A record's id: its stamp in milliseconds since the Unix epoch, the device, and the device's sequence number, each
 * of fixed width, so that the ids sort as time does and a stretch of time is a range of ids.
 */
export function recordId(stamp: number, device: string, sequence: number): string {
  return `${String(stamp).padStart(13, '0')}-${device}-${String(sequence).padStart(7, '0')}`
}

/** The parts of a record's id, or `null` when it is not one. */
export function readRecordId(id: string): { stamp: number; device: string; sequence: number } | null {
  const [, stamp, device, sequence] = idPattern.exec(id) ?? []
  if (stamp === undefined || device === undefined || sequence === undefined) return null
  return { stamp: Number(stamp), device, sequence: Number(sequence) }
}

/** A record's place in time: milliseconds since the Unix epoch. Never before the stamp of the record written before it. */
export function stampOf(record: LogRecord): number {
  return readRecordId(record.id)?.stamp ?? Math.round(record.entry.at * 1000)
}

/**
 * When a record's entry happened, in milliseconds: what the bar's clock said. A record that followed another device's
 * faster clock has a later stamp, but its shot still belongs to its own day. Where the two cannot belong together (the
 * record was not made by this program), the stamp counts.
 */
export function timeOf(record: LogRecord): number {
  const stamp = stampOf(record)
  const at = Math.round(record.entry.at * 1000)
  return at <= stamp && stamp - at <= clockTolerance ? at : stamp
}

/** Whether a name may stand for a device in a record's id. */
export function isDeviceName(name: string): boolean {
  return /^[a-z0-9]{4,16}$/.test(name)
}

/** The wall clock in RFC 3339 with this device's offset from UTC. */
export function wallTime(date: Date): string {
  const offset = -date.getTimezoneOffset()
  const sign = offset < 0 ? '-' : '+'
  const two = (n: number) => String(Math.floor(Math.abs(n))).padStart(2, '0')
  const local = new Date(date.getTime() + offset * 60_000).toISOString().slice(0, -1)
  return `${local}${sign}${two(offset / 60)}:${two(offset % 60)}`
}
