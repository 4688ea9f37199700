import * as v from 'valibot'
import { readDrill } from '../../grammar/drill.ts'
import type { Language } from './wording.ts'

const textSchema = v.union([v.string(), v.strictObject({ long: v.string(), short: v.string() })])
const sentencesSchema = v.record(v.string(), textSchema)
const numbersSchema = v.record(v.string(), v.string())

/**
 * Puts a language together from its files.
 * @param files parsed JSON by path inside `grammar/<name>/`: `sentences.json`, `numbers.json`, `drills/*.json`
 * @throws {RangeError} naming the file that is missing or wrong
 */
export function assembleLanguage(name: string, files: Readonly<Record<string, unknown>>): Language {
  const drills = Object.entries(files).filter(([path]) => path.startsWith('drills/'))
  return {
    name,
    sentences: Object.assign(
      {},
      read(name, 'sentences.json', sentencesSchema, files),
      ...drills.map(([path, drill]) => readDrill(path.slice('drills/'.length, -'.json'.length), drill).sentences),
    ) as Language['sentences'],
    numbers: read(name, 'numbers.json', numbersSchema, files),
  }
}

function read<T>(
  name: string,
  path: string,
  schema: v.GenericSchema<unknown, T>,
  files: Readonly<Record<string, unknown>>,
): T {
  const result = v.safeParse(schema, files[path])
  if (result.success) return result.output
  const issue = result.issues[0]
  throw new RangeError(`grammar/${name}/${path}: ${v.getDotPath(issue) ?? ''} ${issue.message}`)
}
