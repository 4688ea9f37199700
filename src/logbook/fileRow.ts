import type { Refusal } from './refusal.ts'

/** One row of a file, from 1: a value that may be a record, or why there is none. */
export type FileRow = { row: number } & ({ value: unknown } | Refusal)
