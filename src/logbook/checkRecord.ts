import * as v from 'valibot'
import { isAmendment } from './effect.ts'
import { migrate } from './migrate.ts'
import { readRecordId, recordVersion, type LogRecord } from './record.ts'
import { describeIssues, recordSchema } from './schema.ts'

/** Checks a record that comes from outside, to the last field. A reason is given in a line. */
export function checkRecord(value: unknown): { record: LogRecord } | { reason: string } {
  const migrated = migrate(value)
  if (!migrated) {
    const version = (value as { version?: unknown } | null)?.version
    return typeof version === 'number' && version > recordVersion
      ? { reason: `version: ${version} is newer than ${recordVersion}, the newest that can be read` }
      : { reason: 'not a record: an object with a whole number as its version is expected' }
  }
  const result = v.safeParse(recordSchema, migrated)
  if (!result.success) return { reason: describeIssues(result.issues) }
  // optional fields that are there without a value are left out, as they are in JSON
  const record = JSON.parse(JSON.stringify(result.output)) as LogRecord
  const id = readRecordId(record.id)
  if (id?.device !== record.device) return { reason: `device: ${record.device} is not the one in the id` }
  if (id.sequence !== record.sequence)
    return { reason: `sequence: ${record.sequence} is not the one in the id` }
  if (isAmendment(record) && record.of === undefined)
    return { reason: `of: a "${record.entry.kind}" names no record` }
  return { record }
}
