import type { Language } from '../../grammar/language.ts'
import { vocabularyOf } from '../../grammar/vocabulary.ts'
import { grammarNames } from '../messages/grammarName.ts'

/** The words of a language's grammars that a model does not know: commands with them will not be heard. */
export function missingWords(language: Language, vocabulary: ReadonlySet<string>): string[] {
  const spoken = grammarNames.filter((name) => language.grammars.includes(name))
  return vocabularyOf(language, spoken).filter((word) => !vocabulary.has(word))
}
