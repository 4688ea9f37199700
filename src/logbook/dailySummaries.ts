import type { EntryKind } from '../messages/entry.ts'
import { isAmendment } from './effect.ts'
import { afterDay, dayBounds, dayOf, summariseDay, type DaySummary } from './daySummary.ts'
import { firstIdAt, lastIdAt } from './query.ts'
import { clockTolerance } from './hybridClock.ts'
import { readRecordId, timeOf, type LogRecord } from './record.ts'
import type { Note, Store } from './store.ts'

/** The layout of the summaries; another one makes them all anew. */
const version = 2

/** What the summaries were made from. Kept beside the log; see {@link openDays}. */
interface DaysIndex {
  version: number
  /** the days are local: in another time zone they are made anew */
  zone: string
  /** the store's mark up to which they are made */
  mark: number
  days: string[]
  /** days of which records have a stamp of the next day: they followed a faster clock */
  ahead: string[]
  /** amendments that were written on another day than what they amend */
  late: LogRecord[]
  /** names, house recipes and erasures, wherever they are in the log */
  standing: LogRecord[]
}

export interface Days {
  /** The days from one to another, both included, that have records. Brings the summaries up to date first. */
  summaries(from?: string, to?: string): Promise<DaySummary[]>
  /** Every `recipe set`, `named` and `person erased` record of the log, with what amends them. */
  standing(): Promise<readonly LogRecord[]>
}

/** What holds until it is changed, however long ago it was written. */
export const isStanding = (kind: EntryKind) =>
  kind === 'recipe set' || kind === 'named' || kind === 'person erased'

/**
 * The day summaries of a log. They follow the log by its store's list of changes, as a database's view does: after
 * entries, imports, replication and erasures alike, only the days that were touched are made again.
 *
 * @param progress told of each day that is made, when all of them are
 */
export function openDays(store: Store, progress: (day: string) => void = () => undefined): Days {
  let refreshing: Promise<DaysIndex> | null = null
  const noteOf = (day: string) => `day ${day}`

  async function index(): Promise<DaysIndex> {
    refreshing ??= refresh().finally(() => {
      refreshing = null
    })
    return refreshing
  }

  async function refresh(): Promise<DaysIndex> {
    const zone = Intl.DateTimeFormat().resolvedOptions().timeZone
    const kept = (await store.note('days')) as DaysIndex | undefined
    if (!kept || kept.version !== version || kept.zone !== zone) return makeAll(zone)
    const { ids, mark } = await store.changedSince(kept.mark)
    if (mark === kept.mark) return kept
    return makeAgain(kept, touchedDays(ids), mark)
  }

  /** The days that changed records belong to: their own, and the day before when its last shots may be meant. */
  function touchedDays(ids: readonly string[]): Set<string> {
    return new Set(ids.flatMap((id) => daysOf(readRecordId(id)?.stamp)))
  }

  /** The days that a record with this stamp can have a part in. */
  function daysOf(stamp: number | undefined): string[] {
    if (stamp === undefined) return []
    return [0, afterDay, clockTolerance, clockTolerance + afterDay].map((before) => dayOf(stamp - before))
  }

  async function makeAgain(kept: DaysIndex, days: Set<string>, mark: number): Promise<DaysIndex> {
    const onDays = ({ id }: LogRecord) => days.has(dayOf(readRecordId(id)?.stamp ?? 0))
    const next: DaysIndex = {
      ...kept,
      mark,
      late: kept.late.filter((record) => !onDays(record)),
      standing: kept.standing.filter((record) => !onDays(record)),
    }
    for (const day of [...days]) for (const each of collect(next, await recordsOf(day), day)) days.add(each)
    for (const record of [...kept.late, ...next.late])
      for (const day of daysOf(readRecordId(record.of ?? '')?.stamp)) days.add(day)
    const notes: Note[] = []
    const there = new Set(next.days)
    for (const day of days) {
      const note = await makeDay(day, next)
      if (note) notes.push(note)
      if (note) there.add(day)
      else there.delete(day)
    }
    next.days = [...there].sort()
    await store.add([], [...notes, { key: 'days', value: next }])
    return next
  }

  async function makeAll(zone: string): Promise<DaysIndex> {
    const mark = await store.mark()
    const next: DaysIndex = { version, zone, mark, days: [], ahead: [], late: [], standing: [] }
    const todo = new Set<string>()
    for (let day = await firstDayFrom(''); day !== null; day = await firstDayFrom(firstIdAt(endOf(day))))
      for (const each of collect(next, await recordsOf(day), day)) todo.add(each)
    for (const day of [...todo].sort()) {
      const note = await makeDay(day, next)
      if (!note) continue
      await store.add([], [note])
      next.days.push(day)
      progress(day)
    }
    await store.add([], [{ key: 'days', value: next }])
    return next
  }

  const endOf = (day: string) => (dayBounds(day).to + 1) / 1000

  async function firstDayFrom(from: string): Promise<string | null> {
    const [first] = await store.range({ ...(from !== '' && { from }), limit: 1 })
    const parts = first && readRecordId(first.id)
    return parts ? dayOf(parts.stamp) : null
  }

  async function recordsOf(day: string): Promise<LogRecord[]> {
    const { from, to } = dayBounds(day)
    return store.range({ from: firstIdAt(from / 1000), to: lastIdAt(to / 1000) })
  }

  /** Notes what of a day's records is needed beyond it. @returns the days that the records are of */
  function collect(next: DaysIndex, records: readonly LogRecord[], day: string): Set<string> {
    const standing = new Set(next.standing.map((record) => record.id))
    const days = new Set<string>()
    for (const record of records) {
      const { kind } = record.entry
      const target = record.of === undefined ? null : readRecordId(record.of)
      if (isStanding(kind) || (record.of !== undefined && standing.has(record.of))) {
        next.standing.push(record)
        standing.add(record.id)
      } else if (target && isAmendment(record) && dayOf(target.stamp) !== day) next.late.push(record)
      days.add(dayOf(timeOf(record)))
    }
    for (const each of days) if (each !== day && !next.ahead.includes(each)) next.ahead.push(each)
    return days
  }

  /** A day's summary; `null` for a day without records. */
  async function makeDay(day: string, { late, ahead }: DaysIndex): Promise<Note | null> {
    const { from, to } = dayBounds(day)
    // a day that has records in the next one is looked for up to that one's end, which may be an hour longer
    const end = to + afterDay + (ahead.includes(day) ? clockTolerance + afterDay : 0)
    const records = await store.range({ from: firstIdAt(from / 1000), to: lastIdAt(end / 1000) })
    if (!records.some((record) => dayOf(timeOf(record)) === day)) return null
    const ids = new Set(records.map((record) => record.id))
    const amendments = late.filter((record) => !ids.has(record.id) && ids.has(record.of ?? ''))
    return { key: noteOf(day), value: summariseDay(day, [...records, ...amendments]) }
  }

  return {
    async summaries(from = '', to = '\uffff') {
      const { days } = await index()
      const wanted = days.filter((day) => day >= from && day <= to)
      const notes = await Promise.all(wanted.map((day) => store.note(noteOf(day))))
      return notes.flatMap((note) => (note === undefined ? [] : [note as DaySummary]))
    },
    async standing() {
      return (await index()).standing
    },
  }
}
