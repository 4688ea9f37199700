import type { Lexicon } from '../lexicon.ts'
import { numberWord } from './commands.ts'

/** Every way to pronounce some words, as phones. A number is one sound, unlike any other; so is an unknown word. */
export function pronunciationsOf(words: readonly string[], lexicon: Lexicon): string[][] {
  return words.reduce<string[][]>(
    (beginnings, word) => {
      const ways = word === numberWord ? [[numberWord]] : (lexicon.get(word) ?? [[word]])
      return beginnings.flatMap((beginning) => ways.map((way) => [...beginning, ...way]))
    },
    [[]],
  )
}

/**
 * The least number of phones to put in, leave out or change to turn one into the other (the edit distance of
 * V. I. Levenshtein, Soviet Physics Doklady 10, 1966).
 */
export function phoneDistance(one: readonly string[], two: readonly string[]): number {
  let row = Array.from({ length: two.length + 1 }, (_, index) => index)
  one.forEach((phone, i) => {
    const next = [i + 1]
    two.forEach((other, j) => {
      const changed = (row[j] ?? 0) + (phone === other ? 0 : 1)
      next.push(Math.min(changed, (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1))
    })
    row = next
  })
  return row[two.length] ?? 0
}

/**
 * What is left of some phones when up to `count` of them are left out. Two pronunciations that are no further
 * apart than `count` always have one of these in common, so that only those need be compared.
 */
export function shortened(phones: readonly string[], count: number): Set<string> {
  const found = new Set([phones.join(' ')])
  if (count === 0) return found
  phones.forEach((_, index) => {
    for (const rest of shortened(phones.toSpliced(index, 1), count - 1)) found.add(rest)
  })
  return found
}
