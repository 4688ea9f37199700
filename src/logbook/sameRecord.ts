import type { LogRecord } from './record.ts'

/** Whether two records say the same. */
export function sameRecord(a: LogRecord, b: LogRecord): boolean {
  return sorted(a) === sorted(b)
}

const sorted = (value: unknown): string =>
  JSON.stringify(value, (_key, part: unknown) =>
    typeof part === 'object' && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  )
