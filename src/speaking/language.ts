import type { Language } from './wording.ts'
import { assembleLanguage } from './assembleLanguage.ts'

const files = import.meta.glob<unknown>(
  ['../../grammar/*/sentences.json', '../../grammar/*/numbers.json', '../../grammar/*/drills/*.json'],
  { import: 'default' },
)

/**
 * Loads what a language says.
 * @throws {RangeError} when there is no such language
 */
export async function loadLanguage(name: string): Promise<Language> {
  const folder = `../../grammar/${name}/`
  const paths = Object.keys(files).filter((path) => path.startsWith(folder))
  const loaded = await Promise.all(
    paths.map(async (path) => [path.slice(folder.length), await files[path]?.()] as const),
  )
  return assembleLanguage(name, Object.fromEntries(loaded))
}
