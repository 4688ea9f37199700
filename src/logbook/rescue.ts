import { readRecord } from './checkRecord.ts'
import type { LogRecord } from './record.ts'

/** The machine's state as it is stored with the log. */
export interface SavedSnapshot {
  /** this device's sequence number of the last record the snapshot knows of; 0 for none */
  after: number
  snapshot: unknown
}

/** What a store would not take. */
export interface Rescued {
  /** in order */
  records: readonly LogRecord[]
  /** the machine's state after them */
  snapshot: SavedSnapshot | null
}

/**
 * A last resort for what the store would not take: a small store of the browser's that has its own room. It is put
 * into the log when that is opened again.
 */
const key = (name: string) => `${name} rescued`

/** Keeps it, or clears the place when there is nothing. A browser that cannot keeps nothing. */
export function rescue(name: string, kept: Rescued | null): void {
  try {
    if (kept) localStorage.setItem(key(name), JSON.stringify(kept))
    else localStorage.removeItem(key(name))
  } catch {
    // it is still held in memory, and the trouble has been told
  }
}

/** What was kept. */
export function rescued(name: string): Rescued {
  try {
    const kept = JSON.parse(localStorage.getItem(key(name)) ?? 'null') as Partial<Rescued> | null
    const records = Array.isArray(kept?.records) ? kept.records : []
    return {
      records: records.flatMap((record: unknown) => readRecord(record) ?? []),
      snapshot: typeof kept?.snapshot?.after === 'number' ? kept.snapshot : null,
    }
  } catch {
    return { records: [], snapshot: null }
  }
}
