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

/** Words beside the commands' that are a command's word after all, or sound like one: they would take its place. */
export function checkOtherWords(lexicon: Lexicon, others: Lexicon): string[] {
  const wordOf = new Map(
    [...lexicon].flatMap(([word, pronunciations]) =>
      pronunciations.map((phones): [string, string] => [phones.join(' '), word]),
    ),
  )
  return [...others].flatMap(([other, pronunciations]) => {
    if (lexicon.has(other)) return [`"${other}" is a word of the grammars`]
    const alike = pronunciations
      .map((phones) => wordOf.get(phones.join(' ')))
      .filter((word) => word !== undefined)
    return alike.map((word) => `"${other}" sounds like "${word}" of the grammars`)
  })
}
