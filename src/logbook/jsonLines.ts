import type { LogRecord } from './record.ts'
import type { FileRow, Refusal } from './refusal.ts'

/** Records as JSON Lines: one JSON object a line, UTF-8, each line ended by a line feed. */
export function toJsonLines(records: readonly LogRecord[]): string {
  return records.map((record) => `${JSON.stringify(record)}\n`).join('')
}

/** A line longer than this is no record. */
const longestLine = 65_536

/** The rows of a JSON Lines text; empty lines are passed over. */
export function readJsonLines(text: string): FileRow[] {
  const rows: FileRow[] = []
  for (const [i, line] of text.split('\n').entries()) {
    if (line.trim() === '') continue
    rows.push({ row: i + 1, ...readLine(line) })
  }
  return rows
}

function readLine(line: string): { value: unknown } | Refusal {
  if (line.length > longestLine)
    return { reason: 'long line', values: { length: line.length, most: longestLine } }
  try {
    return { value: JSON.parse(line) as unknown }
  } catch {
    return { reason: 'not JSON' }
  }
}
