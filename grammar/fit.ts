import type { Meaning } from '../src/messages/command.ts'
import type { GrammarName } from '../src/messages/grammarName.ts'
import { matchLoosely } from './jsgf/match.ts'
import { commandNetwork, type Language } from './language.ts'
import { meaningOf } from './meaning.ts'
import { readTags } from './tags.ts'
import { unknownWord } from './understand.ts'

/** A command that words of which one was not understood may have been. */
export interface Fit {
  meaning: Meaning
  /** its whole words, the missing one put in */
  words: readonly string[]
}

/** Finds the commands that differ by one word from what was heard. Made once for each state, since it builds their network. */
export type FitWords = (words: readonly string[]) => readonly Fit[]

/**
 * Fits half understood words to the commands of these grammars. Sounds that are no word count as one word, wherever
 * they are, and there must be just one such place beside at least one word that was understood.
 */
export function fitting(language: Language, open: readonly GrammarName[]): FitWords {
  const commands = commandNetwork(language, open)
  return (heard) => {
    const words = heard.filter((word, index) => word !== unknownWord || heard[index - 1] !== unknownWord)
    if (words.filter((word) => word === unknownWord).length !== 1 || words.length < 2) return []
    const fits = new Map<string, Fit>()
    for (const { words: whole, tags } of matchLoosely(commands, words, unknownWord)) {
      const meaning = meaningOf(readTags(tags))
      const key = JSON.stringify(meaning)
      if (!fits.has(key)) fits.set(key, { meaning, words: whole })
    }
    return [...fits.values()]
  }
}
