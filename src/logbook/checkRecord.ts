import * as v from 'valibot'
import { isAmendment } from './effect.ts'
import { migrate } from './migrate.ts'
import { readRecordId, recordVersion, type LogRecord } from './record.ts'
import { shown, type Refusal } from './refusal.ts'
import { recordSchema } from './schema.ts'

/** Checks a record that comes from outside, to the last field. */
export function checkRecord(value: unknown): { record: LogRecord } | Refusal {
  const migrated = migrate(value)
  if (!migrated) {
    const version = (value as { version?: unknown } | null)?.version
    return typeof version === 'number' && version > recordVersion
      ? { reason: 'newer', values: { version, newest: recordVersion } }
      : { reason: 'not a record' }
  }
  const result = v.safeParse(recordSchema, migrated)
  if (!result.success) return refusalOf(result.issues[0])
  // optional fields that are there without a value are left out, as they are in JSON
  const record = JSON.parse(JSON.stringify(result.output)) as LogRecord
  const id = readRecordId(record.id)
  if (id?.device !== record.device) return { reason: 'device differs', values: { device: record.device } }
  if (id.sequence !== record.sequence)
    return { reason: 'sequence differs', values: { sequence: record.sequence } }
  if (isAmendment(record) && record.of === undefined)
    return { reason: 'names none', values: { kind: record.entry.kind } }
  if (record.of !== undefined && !mayBeOf(record, record.of))
    return { reason: 'names later', values: { kind: record.entry.kind } }
  return { record }
}

/**
 * Whether a record may name another. A device names only what it wrote before; what it takes back or corrects is its
 * own. Another device's record may have a later stamp, since a clock that was days ahead is not followed.
 */
function mayBeOf(record: LogRecord, of: string): boolean {
  const named = readRecordId(of)
  if (named?.device === record.device) return named.sequence < record.sequence
  return !isAmendment(record)
}

function refusalOf(issue: v.BaseIssue<unknown>): Refusal {
  const { input, expected, type } = issue
  const field = v.getDotPath(issue) ?? ''
  if (expected === 'never') return { reason: 'field unknown', values: { field } }
  if (input === undefined) return { reason: 'field missing', values: { field } }
  // what a check of our own expects is not told in the schema's signs
  return expected === null || type === 'regex'
    ? { reason: 'field odd', values: { field, value: shown(input) } }
    : { reason: 'field', values: { field, value: shown(input), expected } }
}

/**
 * A record out of what the store holds, which other devices' records reach too.
 *
 * @returns `null` for what this program cannot read: a newer program's record, or something damaged
 */
export function readRecord(value: unknown): LogRecord | null {
  const checked = checkRecord(value)
  return 'record' in checked ? checked.record : null
}
