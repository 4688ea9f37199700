import { readdir, readFile } from 'node:fs/promises'
import { join, relative, sep } from 'node:path'
import { assembleLanguage } from '../assembleLanguage.ts'
import type { Language } from '../wording.ts'

export const grammarFolder = join(import.meta.dirname, '../../../grammar')

/** Reads a language from its folder, outside a browser. */
export async function readLanguage(name: string): Promise<Language> {
  const folder = join(grammarFolder, name)
  const paths = (await readdir(folder, { recursive: true, withFileTypes: true }))
    .filter((entry) => entry.isFile() && entry.name.endsWith('.json'))
    .map((entry) => join(entry.parentPath, entry.name))
  const files = await Promise.all(
    paths.map(async (path) => [
      relative(folder, path).split(sep).join('/'),
      JSON.parse(await readFile(path, 'utf8')),
    ]),
  )
  return assembleLanguage(name, Object.fromEntries(files))
}

/** The languages there are: the folders of `grammar/` that have sentences. */
export async function languageNames(): Promise<string[]> {
  const paths = await readdir(grammarFolder, { recursive: true })
  return paths
    .map((path) => path.split(sep))
    .flatMap(([name, file, ...rest]) =>
      name && file === 'sentences.json' && rest.length === 0 ? [name] : [],
    )
}
