import { checkRecord } from './checkRecord.ts'
import type { LogRecord } from './record.ts'

/**
 * A record out of what the store holds, where other devices' records come in too.
 *
 * @returns `null` for what this program cannot read: a newer program's record, or something else
 */
export function readRecord(value: unknown): LogRecord | null {
  const checked = checkRecord(value)
  return 'record' in checked ? checked.record : null
}
