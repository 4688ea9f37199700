import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import voices from '../voices.json' with { type: 'json' }

const grammarFolder = fileURLToPath(new URL('..', import.meta.url))
const modelFolder = fileURLToPath(new URL('../../public/model/', import.meta.url))

/**
 * What the folder of one language lacks that the folder of another has: files, keys of JSON files, and the gaps in
 * their texts.
 *
 * @param home where the folders of the languages are
 */
export function lackingIn(code: string, model: string, home = grammarFolder): string[] {
  const folder = `${home}${code}/`
  return readdirSync(`${home}${model}`, { recursive: true, encoding: 'utf8' })
    .filter((path) => /\.(jsgf|json|dict)$/.test(path))
    .sort()
    .flatMap((path) => {
      if (!existsSync(folder + path)) return [`${path} is missing`]
      if (!path.endsWith('.json')) return []
      const own = textsOf(folder + path)
      return [...textsOf(`${home}${model}/${path}`)].flatMap(([key, text]) => {
        const ownText = own.get(key)
        if (ownText === undefined) return [`${path} lacks "${key}"`]
        const gaps = new Set(gapsOf(ownText))
        return gapsOf(text)
          .filter((gap) => !gaps.has(gap))
          .map((gap) => `${path}: "${key}" lacks ${gap}`)
      })
    })
}

/** What a language needs besides its folder: a recognition model, a voice, and its own name on the screen. */
export function lackingBeside(code: string, home = grammarFolder, models = modelFolder): string[] {
  const screen = `${home}${code}/screen.json`
  return [
    ...(existsSync(`${models}${code}.tar.gz`)
      ? []
      : [`public/model/${code}.tar.gz, the recognition model, is missing`]),
    ...(code in voices ? [] : [`grammar/voices.json names no voice that speaks "${code}"`]),
    ...(existsSync(screen) && !textsOf(screen).has(`language.${code}`)
      ? [`screen.json lacks "language.${code}"`]
      : []),
  ]
}

/** The keys of a JSON file with their texts; none of a file that is a list. */
function textsOf(path: string): Map<string, string> {
  const json: unknown = JSON.parse(readFileSync(path, 'utf8'))
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return new Map()
  return new Map(Object.entries(json).map(([key, value]) => [key, JSON.stringify(value)]))
}

const gapsOf = (text: string): string[] => text.match(/\{\w+\}/g) ?? []
