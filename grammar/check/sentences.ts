import { teaches } from '../teaches.ts'
import { match } from '../jsgf/match.ts'
import { networkOf, type Network } from '../jsgf/network.ts'
import type { Language } from '../language.ts'
import { numberWord, type SpokenCommand } from './commands.ts'
import { isObeyedEarly } from './openTogether.ts'

/** A sentence as sentences.json has it. */
export type SentenceText = string | { long: string; short: string }

/** Words that are only put into the gaps of sentences. */
const fillsGaps = /^word\./

/** What may be spoken and would be taken for a command, should the tool hear itself. */
export function checkSentences(
  sentences: Readonly<Record<string, SentenceText>>,
  commands: readonly SpokenCommand[],
  language: Language,
): string[] {
  const stopClass = new Set<string>()
  const several = new Set<string>()
  for (const { grammar, words } of commands) {
    if (isObeyedEarly(grammar)) stopClass.add(words.join(' '))
    if (words.length > 1) several.add(words.join(' '))
  }
  const numbers = networkOf(
    [{ kind: 'rule', name: 'number.number', at: { file: 'number.jsgf', line: 1, column: 1 } }],
    language.rules,
  )
  const longest = Math.max(...commands.map(({ words }) => words.length))
  const textsOf = (text: SentenceText) => (typeof text === 'string' ? [text] : [text.long, text.short])
  return Object.entries(sentences).flatMap(([key, text]) => {
    if (teaches(key) || fillsGaps.test(key)) return []
    const found = new Set<string>()
    for (const one of textsOf(text)) {
      for (const clause of one.replace(/\{[^}]*\}/g, ` ${numberWord} `).split(/[.!?:]/)) {
        for (const words of readingsOf(clause, numbers)) {
          for (let from = 0; from < words.length; from++) {
            for (let to = from + 1; to <= Math.min(words.length, from + longest); to++) {
              const said = words.slice(from, to).join(' ')
              if (stopClass.has(said) || several.has(said)) found.add(said)
            }
          }
        }
      }
    }
    return [...found].map((said) => `${key}: "${said}" is a command`)
  })
}

/** The words of a clause as they stand, and with every number in them as one. */
function readingsOf(clause: string, numbers: Network): string[][] {
  const words = clause.toLowerCase().match(/[\p{L}\p{M}']+|#/gu) ?? []
  const counted: string[] = []
  for (let at = 0; at < words.length;) {
    let end = Math.min(words.length, at + 8)
    while (end > at && match(numbers, words.slice(at, end)).length === 0) end--
    counted.push(end > at ? numberWord : (words[at] ?? ''))
    at = Math.max(end, at + 1)
  }
  return [[...words], counted]
}
