import { readRecord } from './readRecord.ts'
import type { LogRecord } from './record.ts'

/**
 * A last resort for records that the store would not take: a small store of the browser's that has its own room. They
 * are put into the log when it is opened again.
 */
const key = (name: string) => `${name} rescued`

/** Keeps the records, or clears the place when there are none. A browser that cannot keeps nothing. */
export function rescue(name: string, records: readonly LogRecord[]): void {
  try {
    if (records.length === 0) localStorage.removeItem(key(name))
    else localStorage.setItem(key(name), JSON.stringify(records))
  } catch {
    // they are still held in memory, and the trouble has been told
  }
}

/** The records kept, in order. */
export function rescued(name: string): LogRecord[] {
  try {
    const records: unknown = JSON.parse(localStorage.getItem(key(name)) ?? '[]')
    return Array.isArray(records) ? records.flatMap((record: unknown) => readRecord(record) ?? []) : []
  } catch {
    return []
  }
}
