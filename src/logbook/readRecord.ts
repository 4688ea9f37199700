import { migrate } from './migrate.ts'
import { readRecordId, type LogRecord } from './record.ts'
import { entryKinds } from './schema.ts'

const kinds: ReadonlySet<unknown> = new Set(entryKinds)

/**
 * A record out of what the store holds. The store is written by this program, so this only looks whether the record
 * can be read at all; files and other devices' records are checked to the last field when they come in.
 *
 * @returns `null` for what this program cannot read: a newer program's record, or another's document
 */
export function readRecord(value: unknown): LogRecord | null {
  const record = migrate(value) as Partial<LogRecord> | null
  if (!record || typeof record.id !== 'string' || readRecordId(record.id) === null) return null
  const { entry } = record
  if (typeof entry !== 'object' || entry === null || !kinds.has(entry.kind)) return null
  return typeof entry.at === 'number' && typeof entry.id === 'string' ? (record as LogRecord) : null
}
