import type { Entry } from '../messages/entry.ts'
import type { LogRecord } from './record.ts'

/** A shot as it holds, after corrections. */
export type Shot = Extract<Entry, { kind: 'shot' }>

/**
 * What holds of a stretch of the log: entries that were taken back are left out, with what was said of them; a
 * corrected time stands in place of the first. Taking back a `taken back` brings the entry back. The records of the
 * taking back and the correcting are left out too. The log itself keeps all of it.
 *
 * @param records in the log's order; amendments must come with the records that they amend
 */
export function effective(records: readonly LogRecord[]): LogRecord[] {
  const gone = new Set<string>()
  const seconds = new Map<string, number>()
  for (const record of records.toReversed()) {
    const { of, entry } = record
    if (of === undefined || gone.has(record.id)) continue
    if (entry.kind === 'taken back') gone.add(of)
    if (entry.kind === 'corrected' && !seconds.has(of)) seconds.set(of, entry.seconds)
  }
  const shotsGone = new Set<string>()
  for (const { id, device, entry } of records) {
    if (entry.kind === 'shot' && gone.has(id)) shotsGone.add(`${device} ${entry.shot}`)
  }
  return records.flatMap((record) => {
    const { id, device, entry } = record
    if (gone.has(id) || entry.kind === 'taken back' || entry.kind === 'corrected') return []
    if ('shot' in entry && entry.shot !== undefined && shotsGone.has(`${device} ${entry.shot}`)) return []
    const corrected = seconds.get(id)
    return corrected === undefined || entry.kind !== 'shot'
      ? [record]
      : [{ ...record, entry: { ...entry, seconds: corrected } }]
  })
}

/** Whether a shot ended in its window; both ends belong to it. */
export function isInWindow(shot: Pick<Shot, 'seconds' | 'windowOpens' | 'windowCloses'>): boolean {
  return shot.seconds >= shot.windowOpens && shot.seconds <= shot.windowCloses
}
