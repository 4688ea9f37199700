import { checkRecord } from './checkRecord.ts'
import { readCsv } from './csv.ts'
import type { FileFormat } from './exportLog.ts'
import type { FileRow } from './fileRow.ts'
import { readJsonLines } from './jsonLines.ts'
import type { Logbook } from './logbook.ts'
import type { LogRecord } from './record.ts'
import { sameRecord } from './sameRecord.ts'

export interface RefusedRow {
  /** of the file, from 1; in CSV the header is row 1 */
  row: number
  reason: string
}

export interface ImportOutcome {
  added: number
  /** rows that were in the log already, just so */
  already: number
  /** rows left out because they tell of a person who is erased */
  erased: number
  /** rows left out because they are wrong; only when `keepGood` was asked for */
  refused: RefusedRow[]
}

/** A file that was not taken in. Nothing of it is in the log. */
export class ImportRefused extends Error {
  /** every row that is wrong; row 0 stands for the file as a whole */
  readonly rows: readonly RefusedRow[]
  constructor(rows: readonly RefusedRow[]) {
    const [first] = rows
    super(`import refused: ${rows.length} rows, the first: row ${first?.row ?? 0}: ${first?.reason ?? ''}`)
    this.name = 'ImportRefused'
    this.rows = rows
  }
}

/** Two years of a busy bar fit; more is not held in one piece by every browser. */
export const largestFile = 256 * 1024 * 1024

/**
 * Takes a file into the log: all rows or none, unless `keepGood` asks for the good ones. Rows that are in the log
 * already, just so, are passed over, so a file can be taken in twice, and files of several devices one after another.
 *
 * @throws ImportRefused with every row that is wrong and why; nothing is taken in then
 * @throws LogbookError when the store fails; what was written of the file is taken out again
 */
export async function importLog(
  log: Logbook,
  file: Blob,
  format: FileFormat,
  { keepGood = false }: { keepGood?: boolean } = {},
): Promise<ImportOutcome> {
  const text = await readText(file)
  const rows = format === 'CSV' ? readCsv(text) : readJsonLines(text)
  const refused: RefusedRow[] = []
  const records = new Map<string, { row: number; record: LogRecord }>()
  let repeated = 0
  for (const each of rows) {
    const checked = 'reason' in each ? each : checkRow(each)
    if ('reason' in checked) {
      refused.push({ row: each.row, reason: checked.reason })
      continue
    }
    const { record } = checked
    const before = records.get(record.id)
    if (!before) records.set(record.id, { row: each.row, record })
    else if (sameRecord(before.record, record)) repeated += 1
    else refused.push({ row: each.row, reason: `id: differs from row ${before.row}, which has the same id` })
  }
  if (rows.length === 0) refused.push({ row: 0, reason: 'the file is empty' })
  const list = [...records.values()]
  for (const { id } of await log.differing(list.map(({ record }) => record))) {
    refused.push({ row: records.get(id)?.row ?? 0, reason: 'id: the log has this id with other content' })
    records.delete(id)
  }
  if (refused.length > 0 && !keepGood) throw new ImportRefused(refused.sort((a, b) => a.row - b.row))
  const merged = await log.merge([...records.values()].map(({ record }) => record))
  return { ...merged, already: merged.already + repeated, refused }
}

function checkRow(row: FileRow & { value: unknown }): { record: LogRecord } | { reason: string } {
  return checkRecord(row.value)
}

/** A file's text, which must be UTF-8; with or without a byte order mark. */
async function readText(file: Blob): Promise<string> {
  const whole = (reason: string) => new ImportRefused([{ row: 0, reason }])
  if (file.size > largestFile)
    throw whole(
      `${Math.round(file.size / 1024 / 1024)} MB are more than the ${largestFile / 1024 / 1024} that a log may have`,
    )
  const bytes = new Uint8Array(await file.arrayBuffer())
  const [first, second] = bytes
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff))
    throw whole('the file is in UTF-16; save it as UTF-8')
  let text
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    throw whole('the file is not in UTF-8')
  }
  if (text.includes('\0')) throw whole('the file holds bytes that are not text')
  return text
}
