import { recordVersion } from './record.ts'

/** Makes a record of the next version. Gets and gives plain JSON values. */
export type Migration = (record: Record<string, unknown>) => Record<string, unknown>

/**
 * `migrations[n]` makes a record of version n + 1 out of one of version n. Records are migrated when they are read,
 * from the store or from a file; what is stored stays as it was written.
 */
const migrations: Readonly<Record<number, Migration>> = {}

/**
 * A record in the present version.
 *
 * @returns `null` when a newer program wrote it, or when it is no record at all
 */
export function migrate(
  value: unknown,
  table: Readonly<Record<number, Migration>> = migrations,
  present: number = recordVersion,
): Record<string, unknown> | null {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return null
  let record = value as Record<string, unknown>
  let { version } = record
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1 || version > present)
    return null
  for (; version < present; version += 1) {
    const step = table[version]
    if (!step) throw new Error(`no migration from version ${version}`)
    record = { ...step(record), version: version + 1 }
  }
  return record
}
