import { parseLanguage, type Language } from './language.ts'

const files = import.meta.glob<string>('./*/*.jsgf', { query: '?raw', import: 'default' })

/** A language from the app's bundle. @throws when no such language was built in */
export async function bundledLanguage(code: string): Promise<Language> {
  const prefix = `./${code}/`
  const own = Object.entries(files).filter(([path]) => path.startsWith(prefix))
  if (own.length === 0) throw new Error(`no language "${code}" is built in`)
  const texts = await Promise.all(
    own.map(async ([path, load]) => [path.slice(prefix.length, -'.jsgf'.length), await load()] as const),
  )
  return parseLanguage(code, Object.fromEntries(texts))
}
