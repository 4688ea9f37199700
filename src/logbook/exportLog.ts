import { csvHeader, toCsvRows } from './csv.ts'
import { toJsonLines } from './jsonLines.ts'
import type { Store } from './store.ts'

export type FileFormat = 'CSV' | 'JSON Lines'

/** Few enough that writing them is not noticed while a shot pours. */
const batchSize = 250

/** The whole log as a file, made batch by batch. What it holds is described in `docs/logbook-format.md`. */
export async function exportLog(store: Store, format: FileFormat): Promise<Blob> {
  const parts: string[] = format === 'CSV' ? [csvHeader()] : []
  let from: string | undefined
  for (;;) {
    const records = await store.range({ ...(from !== undefined && { from }), limit: batchSize })
    parts.push(format === 'CSV' ? toCsvRows(records) : toJsonLines(records))
    const last = records.at(-1)
    if (!last || records.length < batchSize) break
    from = `${last.id}\uffff`
  }
  return new Blob(parts, { type: format === 'CSV' ? 'text/csv;charset=utf-8' : 'application/jsonl' })
}
