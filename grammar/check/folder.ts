import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const home = fileURLToPath(new URL('..', import.meta.url))

/** What the folder of one language lacks that the folder of another has: files, and keys of JSON files. */
export function lackingIn(code: string, model: string): string[] {
  const folder = `${home}${code}/`
  return readdirSync(`${home}${model}`, { recursive: true, encoding: 'utf8' })
    .filter((path) => /\.(jsgf|json|dict)$/.test(path))
    .sort()
    .flatMap((path) => {
      if (!existsSync(folder + path)) return [`${path} is missing`]
      if (!path.endsWith('.json')) return []
      const own = new Set(keysOf(JSON.parse(readFileSync(folder + path, 'utf8'))))
      return keysOf(JSON.parse(readFileSync(`${home}${model}/${path}`, 'utf8')))
        .filter((key) => !own.has(key))
        .map((key) => `${path} lacks "${key}"`)
    })
}

function keysOf(json: unknown): string[] {
  return typeof json === 'object' && json !== null && !Array.isArray(json) ? Object.keys(json) : []
}
