import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { TinyModel } from './tinySphinx.ts'

/** Does something with the model's files in a folder, which is gone afterwards. */
export function inTinyFolder<Result>(model: TinyModel, work: (folder: string) => Result): Result {
  const folder = mkdtempSync(join(tmpdir(), 'sphinx-'))
  try {
    for (const [name, bytes] of model.files) writeFileSync(join(folder, name), bytes)
    return work(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}
