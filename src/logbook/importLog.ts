import { checkRecord } from './checkRecord.ts'
import { readCsv } from './csv.ts'
import type { FileFormat } from './exportLog.ts'
import { readJsonLines } from './jsonLines.ts'
import type { Logbook } from './logbook.ts'
import type { LogRecord } from './record.ts'
import type { Refusal } from './refusal.ts'
import { sameRecord } from './sameRecord.ts'
import { createSlices } from './slices.ts'

export type RefusedRow = Refusal & {
  /** of the file, from 1; in CSV the header is row 1 */
  row: number
}

export interface ImportOutcome {
  added: number
  /** rows that were in the log already, just so */
  already: number
  /** rows left out because they tell of a person who is erased */
  erased: number
  /** rows of a newer program, which cannot be read: they are left in the file, to be taken in after an update */
  newer: number
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
 * Rows that a newer program wrote do not keep those that can be read from being taken in; they are counted.
 *
 * @throws ImportRefused with every row that is wrong and why; nothing is taken in then
 * @throws Cancelled when the signal ends it
 * @throws LogbookError when the store fails; what was written of the file is taken out again
 */
export async function importLog(
  log: Logbook,
  file: Blob,
  format: FileFormat,
  { keepGood = false, signal, onProgress = () => undefined }: ImportOptions = {},
): Promise<ImportOutcome> {
  const text = await readText(file)
  const rows = format === 'CSV' ? readCsv(text) : readJsonLines(text)
  const slice = createSlices(signal)
  const refused: RefusedRow[] = []
  const records = new Map<string, { row: number; record: LogRecord }>()
  let repeated = 0
  let newer = 0
  let seen = 0
  for (const each of rows) {
    seen += 1
    await slice()
    if (!keepGood && refused.length >= mostRefused) break
    const checked = 'reason' in each ? each : checkRecord(each.value)
    if ('reason' in checked) {
      const { reason, values } = checked
      if (reason === 'newer') newer += 1
      else refused.push({ row: each.row, reason, ...(values && { values }) })
      continue
    }
    const { record } = checked
    const before = records.get(record.id)
    if (!before) records.set(record.id, { row: each.row, record })
    else if (sameRecord(before.record, record)) repeated += 1
    else refused.push({ row: each.row, reason: 'row differs', values: { other: before.row } })
  }
  if (seen === 0) refused.push({ row: 0, reason: 'empty' })
  onProgress(0.3)
  const list = [...records.values()].map(({ record }) => record)
  for (let at = 0; at < list.length; at += portion) {
    for (const { id } of await log.differing(list.slice(at, at + portion))) {
      refused.push({ row: records.get(id)?.row ?? 0, reason: 'log differs' })
      records.delete(id)
    }
    await slice()
    onProgress(0.3 + (0.2 * at) / list.length)
  }
  if (refused.length > 0 && !keepGood) throw new ImportRefused(refused.sort((a, b) => a.row - b.row))
  const merged = await log.merge(
    [...records.values()].map(({ record }) => record),
    { ...(signal && { signal }), onProgress: (share) => onProgress(0.5 + share / 2) },
  )
  onProgress(1)
  return { ...merged, already: merged.already + repeated, newer, refused }
}

export interface ImportOptions {
  /** leave wrong rows out, and take in the others */
  keepGood?: boolean
  /** ends it; what was written of the file is taken out again */
  signal?: AbortSignal
  /** called with the share that is done, 0 to 1 */
  onProgress?: (share: number) => void
}

/** Wrong rows after which the rest of a file is not read: it is not a log. */
const mostRefused = 1000

/** Records that are compared at once. */
const portion = 200

const megabytes = (bytes: number) => Math.round(bytes / 1024 / 1024)

/** A file's text, which must be UTF-8; with or without a byte order mark. */
async function readText(file: Blob): Promise<string> {
  const whole = (refusal: Refusal) => new ImportRefused([{ row: 0, ...refusal }])
  if (file.size > largestFile)
    throw whole({ reason: 'too large', values: { size: megabytes(file.size), most: megabytes(largestFile) } })
  const bytes = new Uint8Array(await file.arrayBuffer())
  const [first, second] = bytes
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff))
    throw whole({ reason: 'UTF-16' })
  let text
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    throw whole({ reason: 'not UTF-8' })
  }
  if (text.includes('\0')) throw whole({ reason: 'not text' })
  return text
}
