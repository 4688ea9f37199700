import { phrasesFor } from '../../grammar/phrases.ts'
import type { Language } from '../../grammar/language.ts'
import { understanding } from '../../grammar/understand.ts'
import type { GrammarName } from '../messages/grammarName.ts'

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

/**
 * Seconds a stop-class word must stand still before it is obeyed in mid-utterance: next to nothing while a shot pours,
 * elsewhere long enough that the beginning of "start" does not pass for "stop".
 */
export function holdOf(open: readonly GrammarName[]): number {
  return open.includes('pouring') ? 0.05 : 0.15
}
