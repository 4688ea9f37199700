import { wordsOf } from '../vocabulary.ts'
import { commandNetwork, nameNetwork, type Language } from '../language.ts'
import type { Lexicon } from '../lexicon.ts'
import { grammarNames } from '../../src/messages/grammarName.ts'

/** Words of the grammars without a pronunciation, and words of the lexicon that no grammar has. */
export function checkWords(language: Language, lexicon: Lexicon): string[] {
  const open = grammarNames.filter((name) => language.grammars.includes(name))
  const words = new Set([...wordsOf(commandNetwork(language, open)), ...wordsOf(nameNetwork(language))])
  return [
    ...[...words].filter((word) => !lexicon.has(word)).map((word) => `"${word}" has no pronunciation`),
    ...[...lexicon.keys()]
      .filter((word) => !words.has(word))
      .map((word) => `"${word}" is pronounced but in no grammar`),
  ]
}
