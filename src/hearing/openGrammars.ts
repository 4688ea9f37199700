import type { Language, NameToCall } from '../../grammar/language.ts'
import { phrasesFor } from '../../grammar/phrases.ts'
import { understanding, unknownWord, type Understand } from '../../grammar/understand.ts'
import { fitting } from '../../grammar/fit.ts'
import { grammarNames, type GrammarName } from '../messages/grammarName.ts'
import type { Grammars } from './readings.ts'

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
export interface OpenGrammars extends Grammars {
  phrases: readonly string[]
}

/** All commands there are, whether open or not: made once, since it takes long. */
const allCommands = new WeakMap<Language, Map<NameToCall, Understand>>()

function allOf(language: Language, name: NameToCall): Understand {
  const known = allCommands.get(language) ?? new Map<NameToCall, Understand>()
  allCommands.set(language, known)
  const all = known.get(name) ?? understanding(language, grammarNames, { name })
  known.set(name, all)
  return all
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
  const name = nameRequired ? 'must' : 'may'
  const others = understanding(language, open, { name })
  const stop = understanding(language, ['stop'])
  return {
    phrases: [...phrasesFor(language, open).flatMap(asOftenAsSaid), otherTalk],
    open(words) {
      const understood = stop(words)
      return understood.kind === 'command' ? understood : others(words)
    },
    all: allOf(language, name),
    // with a name to call, half of a command is talk
    fit: nameRequired ? () => [] : fitting(language, open),
  }
}
