import type { EntryKind } from '../messages/entry.ts'
import { isAmendment } from './effect.ts'
import { afterDay, dayBounds, dayOf, summariseDay, type DaySummary } from './daySummary.ts'
import { firstIdAt, lastIdAt } from './query.ts'
import { readRecordId, type LogRecord } from './record.ts'
import type { Note, Store } from './store.ts'

/** The layout of the summaries; another one makes them all anew. */
const version = 1

/** What the summaries were made from. Kept beside the log; see {@link openDays}. */
interface DaysIndex {
  version: number
  /** the days are local: in another time zone they are made anew */
  zone: string
  /** the store's mark up to which they are made */
  mark: number
  days: string[]
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
    const days = new Set<string>()
    for (const id of ids) {
      const parts = readRecordId(id)
      if (!parts) continue
      days.add(dayOf(parts.stamp))
      days.add(dayOf(parts.stamp - afterDay))
    }
    return days
  }

  async function makeAgain(kept: DaysIndex, days: Set<string>, mark: number): Promise<DaysIndex> {
    const onDays = ({ id }: LogRecord) => days.has(dayOf(readRecordId(id)?.stamp ?? 0))
    const next: DaysIndex = {
      ...kept,
      mark,
      late: kept.late.filter((record) => !onDays(record)),
      standing: kept.standing.filter((record) => !onDays(record)),
    }
    const notes: Note[] = []
    const todo = [...days]
    for (const day of todo) collect(next, await recordsOf(day), day)
    for (const record of [...kept.late, ...next.late]) {
      const target = readRecordId(record.of ?? '')
      if (target && !days.has(dayOf(target.stamp))) {
        days.add(dayOf(target.stamp))
        todo.push(dayOf(target.stamp))
      }
    }
    for (const day of todo) notes.push(await makeDay(day, next))
    next.days = [...new Set([...next.days, ...days])].sort()
    await store.add([], [...notes, { key: 'days', value: next }])
    return next
  }

  async function makeAll(zone: string): Promise<DaysIndex> {
    const next: DaysIndex = { version, zone, mark: await store.mark(), days: [], late: [], standing: [] }
    for (let day = await firstDayFrom(''); day !== null; day = await firstDayFrom(firstIdAt(endOf(day)))) {
      collect(next, await recordsOf(day), day)
      await store.add([], [await makeDay(day, next)])
      next.days.push(day)
      progress(day)
    }
    // amendments that came on a later day than what they amend are only known now
    for (const day of new Set(next.late.flatMap(({ of }) => readRecordId(of ?? '')?.stamp ?? []).map(dayOf)))
      await store.add([], [await makeDay(day, next)])
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

  function collect(next: DaysIndex, records: readonly LogRecord[], day: string): void {
    const standing = new Set(next.standing.map((record) => record.id))
    for (const record of records) {
      const { kind } = record.entry
      const target = record.of === undefined ? null : readRecordId(record.of)
      if (isStanding(kind) || (record.of !== undefined && standing.has(record.of))) {
        next.standing.push(record)
        standing.add(record.id)
      } else if (target && isAmendment(record) && dayOf(target.stamp) !== day) next.late.push(record)
    }
  }

  async function makeDay(day: string, { late }: DaysIndex): Promise<Note> {
    const { from, to } = dayBounds(day)
    const records = await store.range({ from: firstIdAt(from / 1000), to: lastIdAt((to + afterDay) / 1000) })
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
