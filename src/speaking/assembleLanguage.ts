import * as v from 'valibot'
import { readDrill } from '../../grammar/drill.ts'
import type { Language, SentenceText } from './wording.ts'

const textSchema = v.union([v.string(), v.strictObject({ long: v.string(), short: v.string() })])
const sentencesSchema = v.record(v.string(), textSchema)
const numbersSchema = v.record(v.string(), v.string())

/**
 * Puts a language together from its files.
 * @param files parsed JSON by path inside `grammar/<name>/`: `sentences.json`, `numbers.json`, `drills/*.json`
 * @throws {RangeError} naming the file that is missing or wrong
 */
export function assembleLanguage(name: string, files: Readonly<Record<string, unknown>>): Language {
  const sentences: Record<string, SentenceText> = { ...read(name, 'sentences.json', sentencesSchema, files) }
  for (const [path, file] of Object.entries(files)) {
    const drill = /^drills\/(.+)\.json$/.exec(path)?.[1]
    if (drill !== undefined) Object.assign(sentences, readDrill(drill, file).sentences)
  }
  return { name, sentences, numbers: read(name, 'numbers.json', numbersSchema, files) }
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
