import { phrasesFor } from '../../grammar/phrases.ts'
import type { Language } from '../../grammar/language.ts'
import { understanding } from '../../grammar/understand.ts'

/** Every way to say a stop-class command: obeyed as soon as it is heard, whatever may follow. */
export function eagerPhrases(language: Language): string[] {
  const understand = understanding(language, ['stop'], { name: 'no' })
  const beginnings = phrasesFor(language, ['stop'], 'no').flatMap((phrase) => {
    const words = phrase.split(' ')
    return words.map((_, last) => words.slice(0, last + 1))
  })
  return [
    ...new Set(
      beginnings.filter((words) => understand(words).kind === 'command').map((words) => words.join(' ')),
    ),
  ]
}
