import Papa from 'papaparse'
import { entryKinds, fieldsOf, isOptional, type Entry, type EntryKind } from '../messages/entry.ts'
import { recordVersion, type LogRecord } from './record.ts'
import { shown, type FileRow, type Refusal, type RefusalReason } from './refusal.ts'

type EveryKey<T> = T extends unknown ? keyof T : never
type Field = Exclude<EveryKey<Entry>, 'kind' | 'id'>
type CellType = 'text' | 'number' | 'true or false' | 'JSON'

/** How each field of an entry is written in a cell, in the order of the columns. */
const fieldTypes: Record<Field, CellType> = {
  at: 'number',
  shot: 'text',
  recipe: 'text',
  coffee: 'number',
  grinder: 'number',
  person: 'number',
  seconds: 'number',
  windowOpens: 'number',
  windowCloses: 'number',
  notch: 'number',
  notches: 'number',
  advised: 'number',
  dose: 'number',
  firstDrip: 'number',
  purged: 'true or false',
  practice: 'true or false',
  looks: 'JSON',
  tastes: 'JSON',
  action: 'text',
  serve: 'true or false',
  grams: 'number',
  millilitres: 'number',
  percent: 'number',
  days: 'number',
  temperature: 'number',
  humidity: 'number',
  outcome: 'text',
  into: 'text',
  margin: 'number',
  direction: 'text',
  drill: 'text',
  score: 'number',
  unit: 'text',
  passed: 'true or false',
  setting: 'text',
  from: 'JSON',
  to: 'JSON',
  what: 'text',
  since: 'number',
  entry: 'text',
  yield: 'JSON',
  window: 'JSON',
  basket: 'number',
  number: 'number',
  name: 'text',
  during: 'text',
  message: 'text',
}
const fields = Object.keys(fieldTypes) as Field[]

/** Columns that files of this version were first written without. */
const addedLater: readonly string[] = [
  'firstDrip',
  'percent',
  'days',
  'temperature',
  'humidity',
  'during',
  'message',
] satisfies Field[]

/** The record's own columns come first. */
const recordColumns = {
  id: 'text',
  version: 'number',
  bar: 'text',
  device: 'text',
  sequence: 'number',
  wall: 'text',
  of: 'text',
  effect: 'JSON',
  kind: 'text',
  'entry id': 'text',
} as const satisfies Record<string, CellType>

/** The header of the file. */
const csvColumns: readonly string[] = [...Object.keys(recordColumns), ...fields]

/** Lines end with CR LF, as RFC 4180 has them. */
const lineEnd = '\r\n'

/** The header's line. */
export function csvHeader(): string {
  return Papa.unparse([[...csvColumns]]) + lineEnd
}

/** Records as rows of CSV (RFC 4180), without the header. */
export function toCsvRows(records: readonly LogRecord[]): string {
  if (records.length === 0) return ''
  return Papa.unparse(records.map(cellsOf), { newline: lineEnd }) + lineEnd
}

function cellsOf(record: LogRecord): string[] {
  const { kind, id: entryId, ...values } = record.entry
  const own = { ...record, kind, 'entry id': entryId }
  return [
    ...Object.entries(recordColumns).map(([column, type]) => toCell(type, own[column as keyof typeof own])),
    ...fields.map((field) => toCell(fieldTypes[field], (values as Record<string, unknown>)[field])),
  ]
}

function toCell(type: CellType, value: unknown): string {
  if (value === undefined || (value === null && type !== 'JSON')) return ''
  if (type === 'JSON') return JSON.stringify(value)
  return type === 'text' ? neutral(String(value)) : String(value)
}

/**
 * A spreadsheet takes a cell that begins like this for a formula, and some of them pass over what is not seen before
 * it: blanks of every width, marks that have none, line ends. An apostrophe before all of it makes it text; one that
 * stood there already gets another, so that nothing changes on the way back.
 */
const formulaStart = /^[\p{White_Space}\p{Control}\p{Format}]*[=+\-@'＝＋－＠]|^[\t\r\n]/u

function neutral(text: string): string {
  return formulaStart.test(text) ? `'${text}` : text
}

/**
 * Rows of cells out of a CSV text (RFC 4180): commas, double quotes, any of the usual line ends. The second value
 * has the rows, from 0, whose quotes do not match.
 */
export function readCells(text: string): { rows: string[][]; broken: ReadonlySet<number> } {
  const { data, errors } = Papa.parse<string[]>(text, { delimiter: ',', header: false })
  // the last line's end is not an empty row
  if (data.at(-1)?.length === 1 && data.at(-1)?.[0] === '') data.pop()
  return { rows: data, broken: new Set(errors.map((error) => error.row ?? 0)) }
}

/** Characters that are parsed at once. */
const partLength = 65_536

/** A CSV text in parts that end where a line does, outside quotes. */
function* partsOf(text: string): Generator<string> {
  let from = 0
  let quotes = 0
  let counted = 0
  const isOutside = (to: number) => {
    for (let at = text.indexOf('"', counted); at >= 0 && at < to; at = text.indexOf('"', at + 1)) quotes += 1
    counted = to
    return quotes % 2 === 0
  }
  while (from < text.length) {
    let end = text.indexOf('\n', from + partLength) + 1
    while (end > 0 && !isOutside(end)) end = text.indexOf('\n', end) + 1
    if (end === 0) end = text.length
    yield text.slice(from, end)
    from = end
  }
}

/**
 * The rows of a CSV text whose first row is the header, one after another. Columns may be in any order. A file with
 * rows of a newer version may have columns that this one does not know: they are empty in the rows that can be read.
 */
export function* readCsv(text: string): Generator<FileRow> {
  let header: readonly string[] | null = null
  let unknown: readonly string[] = []
  let isOfNewer = false
  let row = 0
  /** rows before it is known whether a newer program wrote the file */
  const held: FileRow[] = []
  for (const part of partsOf(text)) {
    const { rows, broken } = readCells(part)
    for (const [i, cells] of rows.entries()) {
      row += 1
      if (!header) {
        header = cells
        unknown = header.filter((column) => !csvColumns.includes(column))
        const problem = wrongHeader(header)
        if (problem) return void (yield { row: 1, ...problem })
        continue
      }
      if (cells.length === 1 && cells[0] === '') continue
      isOfNewer ||= Number(cells[header.indexOf('version')]) > recordVersion
      const read: FileRow = { row, ...readCellsOf(header, unknown, cells, broken.has(i)) }
      if (unknown.length === 0 || isOfNewer) {
        yield* held.splice(0)
        yield read
      } else held.push(read)
    }
  }
  if (!header) return void (yield { row: 1, ...(wrongHeader([]) ?? { reason: 'empty' }) })
  const [column] = unknown
  if (column !== undefined && !isOfNewer) yield { row: 1, reason: 'column unknown', values: { column } }
}

function wrongHeader(header: readonly string[]): Refusal | null {
  const twice = header.find((column, at) => header.indexOf(column) !== at)
  if (twice !== undefined) return { reason: 'column twice', values: { column: twice } }
  const missing = csvColumns.find((column) => !header.includes(column) && !addedLater.includes(column))
  if (missing === undefined) return null
  const unknown = header.find((column) => !csvColumns.includes(column))
  return unknown === undefined
    ? { reason: 'column missing', values: { column: missing } }
    : { reason: 'column unknown', values: { column: unknown } }
}

function readCellsOf(
  header: readonly string[],
  unknown: readonly string[],
  cells: readonly string[],
  isBroken: boolean,
): { value: unknown } | Refusal {
  if (isBroken) return { reason: 'quotes' }
  if (cells.length !== header.length)
    return { reason: 'cells', values: { cells: cells.length, columns: header.length } }
  return readRow(new Map(header.map((column, c) => [column, cells[c] ?? ''])), unknown)
}

class BadCell extends Error {
  readonly refusal: Refusal
  constructor(reason: RefusalReason, values: Refusal['values'] & object) {
    super(reason)
    this.refusal = { reason, values }
  }
}

function readRow(
  cells: ReadonlyMap<string, string>,
  unknown: readonly string[],
): { value: unknown } | Refusal {
  try {
    const version = Number(cells.get('version'))
    if (version > recordVersion) return { reason: 'newer', values: { version, newest: recordVersion } }
    const kind = cells.get('kind') as EntryKind
    if (!entryKinds.includes(kind)) throw new BadCell('kind unknown', { kind: shown(kind) })
    const foreign = unknown.find((column) => cells.get(column) !== '')
    if (foreign !== undefined) throw new BadCell('field foreign', { field: foreign, kind })
    const own = new Set(fieldsOf(kind))
    const entry: [string, unknown][] = [
      ['kind', kind],
      ['id', fromCell('entry id', 'text', cells.get('entry id') ?? '')],
    ]
    for (const field of fields) {
      const cell = cells.get(field) ?? ''
      if (!own.has(field)) {
        if (cell !== '') throw new BadCell('field foreign', { field, kind })
      } else if (cell !== '') entry.push([field, fromCell(field, fieldTypes[field], cell)])
      else if (!isOptional(kind, field)) entry.push([field, fieldTypes[field] === 'text' ? '' : null])
    }
    const record = Object.entries(recordColumns).flatMap(([column, type]): [string, unknown][] => {
      const cell = cells.get(column) ?? ''
      return column === 'kind' || column === 'entry id' || cell === ''
        ? []
        : [[column, fromCell(column, type, cell)]]
    })
    return { value: Object.fromEntries([...record, ['entry', Object.fromEntries(entry)]]) }
  } catch (error) {
    if (error instanceof BadCell) return error.refusal
    throw error
  }
}

const jsonNumber = /^-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?$/

function fromCell(column: string, type: CellType, cell: string): unknown {
  switch (type) {
    case 'text':
      return cell.startsWith("'") ? cell.slice(1) : cell
    case 'number':
      if (!jsonNumber.test(cell)) throw wrong(column, type, cell)
      return Number(cell)
    case 'true or false':
      if (cell !== 'true' && cell !== 'false') throw wrong(column, type, cell)
      return cell === 'true'
    case 'JSON':
      try {
        return JSON.parse(cell) as unknown
      } catch {
        throw wrong(column, type, cell)
      }
  }
}

const wrong = (column: string, type: CellType, cell: string) =>
  new BadCell('cell', { field: column, value: shown(cell), expected: type })
