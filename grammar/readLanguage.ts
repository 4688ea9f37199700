import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { readDrill } from './drill.ts'
import { parseLanguage, type Language } from './language.ts'

/** For scripts and tests, which read the files themselves. The app takes them from its bundle: `bundledLanguage.ts`. */

const home = fileURLToPath(new URL('.', import.meta.url))

/** The codes of all languages that have a folder. */
export function languageCodes(): string[] {
  return readdirSync(home, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && existsSync(`${home}${entry.name}/sentences.json`))
    .map(({ name }) => name)
    .sort()
}

/** The text of a file of a language's folder. */
export function readLanguageFile(code: string, name: string): string {
  return readFileSync(`${home}${code}/${name}`, 'utf8')
}

/** @throws JsgfError when one of its grammars is wrong */
export function readLanguage(code: string): Language {
  const files = readdirSync(`${home}${code}`).filter((name) => name.endsWith('.jsgf'))
  return parseLanguage(
    code,
    Object.fromEntries(files.map((name) => [name.slice(0, -'.jsgf'.length), readLanguageFile(code, name)])),
  )
}

/** Every drill of a language with its sentences. @throws {RangeError} naming the drill that is wrong */
export function readDrills(code: string): ReturnType<typeof readDrill>[] {
  return readdirSync(`${home}${code}/drills`)
    .filter((name) => name.endsWith('.json'))
    .sort()
    .map((name) =>
      readDrill(name.slice(0, -'.json'.length), JSON.parse(readLanguageFile(code, `drills/${name}`))),
    )
}
