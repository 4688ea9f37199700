import { readFileSync } from 'node:fs'
import * as v from 'valibot'
import { grammarNames } from '../src/messages/grammarName.ts'

const Phrase = v.object({
  /** the words, as the lexicon spells them */
  text: v.string(),
  /** a grammar in which they are a command */
  grammar: v.picklist(grammarNames),
  intent: v.string(),
  slots: v.nullable(v.record(v.string(), v.unknown())),
})

/** Single commands that every voice speaks, with what they mean, from `phrases.json`. */
export const phrases: readonly v.InferOutput<typeof Phrase>[] = v.parse(
  v.array(Phrase),
  JSON.parse(readFileSync(new URL('./phrases.json', import.meta.url), 'utf8')),
)
