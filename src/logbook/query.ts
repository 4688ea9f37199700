import { readRecordId, type LogRecord } from './record.ts'
import type { Store } from './store.ts'

/** A stretch of time in bar-clock seconds; both ends included. Without an end it is open there. */
export interface Stretch {
  from?: number
  to?: number
  /** at most this many records: the last ones */
  last?: number
}

/** The least record id of a time, in bar-clock seconds. */
export function firstIdAt(seconds: number): string {
  return String(Math.max(0, Math.ceil(seconds * 1000))).padStart(13, '0')
}

/** An id that follows every record id of a time, in bar-clock seconds. */
export function lastIdAt(seconds: number): string {
  return `${String(Math.max(0, Math.floor(seconds * 1000))).padStart(13, '0')}-\uffff`
}

/** The records of a stretch of time, in order. */
export async function recordsIn(store: Store, { from, to, last }: Stretch): Promise<LogRecord[]> {
  const records = await store.range({
    ...(from !== undefined && { from: firstIdAt(from) }),
    ...(to !== undefined && { to: lastIdAt(to) }),
    ...(last !== undefined && { limit: last, descending: true }),
  })
  return last === undefined ? records : records.reverse()
}

/** How far back a record is looked for by what it says; about a year of a busy bar's undoes lie within minutes. */
const lookBack = 20_000

/** The newest record, among the last 20 000, that satisfies `wanted`; `undefined` when there is none. */
export async function newest(
  store: Store,
  wanted: (record: LogRecord) => boolean,
): Promise<LogRecord | undefined> {
  let to: string | undefined
  for (let seen = 0; seen < lookBack;) {
    const batch = await store.range({ ...(to !== undefined && { to }), limit: 200, descending: true })
    const found = batch.find(wanted)
    const oldest = batch.at(-1)
    if (found || !oldest) return found
    seen += batch.length
    to = beforeId(oldest.id)
  }
  return undefined
}

/** The greatest id that lies before a record's id. */
function beforeId(id: string): string {
  const parts = readRecordId(id)
  if (!parts) return id
  return `${id.slice(0, -7)}${String(parts.sequence - 1).padStart(7, '0')}\uffff`
}
