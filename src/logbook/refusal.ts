/**
 * Why something that was to be a record is none. The words for each are in the screen's texts, `refused.<reason>`,
 * with the values filled in.
 */
export type RefusalReason =
  /** a line that is no JSON, or longer than any record */
  | 'not JSON'
  | 'long line'
  /** the header of a CSV file */
  | 'column twice'
  | 'column unknown'
  | 'column missing'
  /** a row of a CSV file */
  | 'quotes'
  | 'cells'
  | 'kind unknown'
  | 'field foreign'
  | 'cell'
  /** what the row holds */
  | 'not a record'
  /** a newer program wrote it */
  | 'newer'
  | 'field'
  | 'field odd'
  | 'field missing'
  | 'field unknown'
  | 'device differs'
  | 'sequence differs'
  | 'names none'
  | 'names later'
  /** beside other rows and the log */
  | 'row differs'
  | 'log differs'
  /** the file as a whole */
  | 'empty'
  | 'too large'
  | 'UTF-16'
  | 'not UTF-8'
  | 'not text'

export interface Refusal {
  reason: RefusalReason
  values?: Readonly<Record<string, string | number>>
}

/** One row of a file, from 1: a value that may be a record, or why there is none. */
export type FileRow = { row: number } & ({ value: unknown } | Refusal)

/** What is refused, cut to a length that can be shown. */
export const shown = (value: unknown): string => {
  const text = JSON.stringify(value) ?? String(value)
  return text.length > 40 ? `${text.slice(0, 40)} …` : text
}
