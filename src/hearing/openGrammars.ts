import type { Language } from '../../grammar/language.ts'
import { phrasesFor } from '../../grammar/phrases.ts'
import { understanding, unknownWord, type Understand } from '../../grammar/understand.ts'
import type { GrammarName } from '../messages/grammarName.ts'

/**
 * Talk that is no command. Long, since the engine learns from it what may follow what: that talk goes on for several words,
 * where a single unknown word is as dear as any phrase.
 */
const otherTalk = new Array<string>(10).fill(unknownWord).join(' ')

/** How much likelier one-word commands are than each of the many others: the engine would hear parts of numbers for them. */
const oneWord = 6

const asOftenAsSaid = (phrase: string): string[] =>
  new Array<string>(phrase.includes(' ') ? 1 : oneWord).fill(phrase)

/** What may be said: for the engine, and for the judge of what the engine heard. */
export interface OpenGrammars {
  phrases: readonly string[]
  understand: Understand
}

/**
 * Opens grammars; the stop-class words are always among them.
 *
 * @param nameRequired whether other commands count only after the tool's name
 */
export function openGrammars(
  language: Language,
  names: readonly GrammarName[],
  nameRequired: boolean,
): OpenGrammars {
  const open = [...new Set<GrammarName>(['stop', ...names])]
  const all = understanding(language, open, { name: nameRequired ? 'must' : 'may' })
  const stop = understanding(language, ['stop'])
  return {
    phrases: [...phrasesFor(language, open).flatMap(asOftenAsSaid), otherTalk],
    understand(words) {
      const understood = stop(words)
      return understood.kind === 'command' ? understood : all(words)
    },
  }
}
