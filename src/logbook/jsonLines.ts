import type { LogRecord } from './record.ts'
import type { FileRow, Refusal } from './refusal.ts'

/** Records as JSON Lines: one JSON object a line, UTF-8, each line ended by a line feed. */
export function toJsonLines(records: readonly LogRecord[]): string {
  return records.map((record) => `${JSON.stringify(record)}\n`).join('')
}

/** A line longer than this is no record. */
const longestLine = 65_536

/** The rows of a JSON Lines text, one after another; empty lines are passed over. */
export function* readJsonLines(text: string): Generator<FileRow> {
  let row = 0
  for (let from = 0; from < text.length;) {
    const found = text.indexOf('\n', from)
    const end = found < 0 ? text.length : found
    const line = text.slice(from, end)
    row += 1
    from = end + 1
    if (line.trim() !== '') yield { row, ...readLine(line) }
  }
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
