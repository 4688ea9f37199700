import type { GrammarName } from '../../src/messages/grammarName.ts'
import type { Lexicon } from '../lexicon.ts'
import { meansTheSame, type SpokenCommand } from './commands.ts'
import { isObeyedEarly, mayBeOpenTogether } from './openTogether.ts'
import { phoneDistance, pronunciationsOf, shortened } from './pronounce.ts'

/** Commands that mean different things and are at most this many phones apart can be confused. */
export const tooClose = 1

/** Two commands that may be open at one time, mean different things and can be taken for each other. */
export interface Confusable {
  kind: 'sounds alike' | 'begins'
  one: string
  two: string
  grammars: readonly [GrammarName, GrammarName]
  /** in phones */
  distance: number
}

/** @param within how many phones apart they may be at most */
export function soundingAlike(
  commands: readonly SpokenCommand[],
  lexicon: Lexicon,
  within = tooClose,
): Confusable[] {
  const said = commands.map((command) => ({ command, ways: pronunciationsOf(command.words, lexicon) }))
  const alike = new Map<string, Set<number>>()
  said.forEach(({ ways }, index) => {
    for (const rest of ways.flatMap((way) => [...shortened(way, within)])) {
      alike.set(rest, (alike.get(rest) ?? new Set()).add(index))
    }
  })

  const pairs = new Map<string, Confusable>()
  for (const group of alike.values()) {
    const members = [...group].flatMap((index) => said[index] ?? [])
    members.forEach((one, index) => {
      for (const two of members.slice(index + 1)) {
        const pair = { one: one.command.words.join(' '), two: two.command.words.join(' ') }
        const key = `${pair.one}|${pair.two}`
        if (pairs.has(key) || !areRivals(one.command, two.command)) continue
        const distance = Math.min(...one.ways.flatMap((a) => two.ways.map((b) => phoneDistance(a, b))))
        if (distance > within) continue
        const grammars = [one.command.grammar, two.command.grammar] as const
        pairs.set(key, { kind: 'sounds alike', ...pair, grammars, distance })
      }
    })
  }
  return [...pairs.values()]
}

/**
 * Commands that are the beginning of another one: after a short pause, or at once where commands are obeyed
 * early, the shorter one would be obeyed in the middle of the longer. For those obeyed early the sound decides,
 * for the rest the words.
 */
export function beginningOthers(commands: readonly SpokenCommand[], lexicon: Lexicon): Confusable[] {
  const byBeginning = new Map<string, SpokenCommand[]>()
  const add = (parts: readonly string[], command: SpokenCommand) => {
    const key = parts.join(' ')
    byBeginning.set(key, [...(byBeginning.get(key) ?? []), command])
  }
  for (const command of commands) {
    add([wordsSign, ...command.words], command)
    if (!isObeyedEarly(command.grammar)) continue
    for (const way of pronunciationsOf(command.words, lexicon)) add(way, command)
  }

  const pairs = new Map<string, Confusable>()
  for (const long of commands) {
    const ways = [[wordsSign, ...long.words], ...pronunciationsOf(long.words, lexicon)]
    for (const way of ways) {
      for (let length = 1; length <= way.length; length++) {
        for (const short of byBeginning.get(way.slice(0, length).join(' ')) ?? []) {
          if (!areRivals(short, long)) continue
          const pair = { one: short.words.join(' '), two: long.words.join(' ') }
          const grammars = [short.grammar, long.grammar] as const
          pairs.set(`${pair.one}|${pair.two}`, { kind: 'begins', ...pair, grammars, distance: 0 })
        }
      }
    }
  }
  return [...pairs.values()]
}

/** Marks a list of words, so that it is not taken for phones. */
const wordsSign = 'words:'

function areRivals(one: SpokenCommand, two: SpokenCommand): boolean {
  return mayBeOpenTogether(one.grammar, two.grammar) && !meansTheSame(one.meaning, two.meaning)
}
