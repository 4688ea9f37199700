import type { Meaning } from '../src/messages/command.ts'
import type { GrammarName } from '../src/messages/grammarName.ts'
import { match } from './jsgf/match.ts'
import type { Network } from './jsgf/network.ts'
import { commandNetwork, nameNetwork, type Language, type NameToCall } from './language.ts'
import { meaningOf } from './meaning.ts'
import { readTags } from './tags.ts'
import { wordsOf } from './vocabulary.ts'

/** How the recogniser writes a sound that is none of its words. */
export const unknownWord = '[unk]'

/** Why words are no command. */
export type Rejection =
  /** nothing was said, or nothing but unknown sounds */
  | 'nothing said'
  /** an unknown sound, or a word that is in none of the open grammars */
  | 'unknown word'
  /** known words, but not a whole command that is open */
  | 'not a command'
  /** two commands that mean different things are said by the same words */
  | 'ambiguous'
  /** a command without the name that must come first */
  | 'name missing'

/** What some words mean. `from` and `to` say which of them are the command: its first word, and one past its last. */
export type Understood =
  { kind: 'command'; meaning: Meaning; from: number; to: number } | { kind: 'rejected'; reason: Rejection }

export interface Strictness {
  /** whether the tool must be called by its name; `may` unless given */
  name?: NameToCall
  /** whether unknown sounds before the first word and after the last are overlooked; they are unless given */
  overlookEdges?: boolean
}

/** Decides what words are, given the open grammars. Made once for each state, since it builds their network. */
export type Understand = (words: readonly string[]) => Understood

/**
 * The judge of what was heard while these grammars are open. The engine's own grammar knows only pairs of words,
 * so its words are a command only if they are a whole sentence of the grammars.
 */
export function understanding(
  language: Language,
  open: readonly GrammarName[],
  { name = 'may', overlookEdges = true }: Strictness = {},
): Understand {
  const commands = commandNetwork(language, open)
  const names = nameNetwork(language)
  const known = new Set([...wordsOf(commands), ...(name === 'no' ? [] : wordsOf(names))])

  return (words) => {
    const isKnown = (word: string) => known.has(word)
    const first = overlookEdges ? words.findIndex((word) => word !== unknownWord) : 0
    const end = overlookEdges ? words.findLastIndex((word) => word !== unknownWord) + 1 : words.length
    if (first < 0 || end === 0) return rejected('nothing said')
    if (!words.slice(first, end).every(isKnown)) return rejected('unknown word')

    const named = name === 'no' ? first : endOfName(names, words, first, end)
    if (name === 'must' && named === first) return rejected('name missing')
    const said = words.slice(named, end)
    if (said.length === 0) return rejected('not a command')

    const meanings = new Map<string, Meaning>()
    for (const tags of match(commands, said)) {
      const meaning = meaningOf(readTags(tags))
      meanings.set(JSON.stringify(meaning), meaning)
    }
    const [meaning] = meanings.values()
    if (!meaning) return rejected('not a command')
    return meanings.size > 1 ? rejected('ambiguous') : { kind: 'command', meaning, from: named, to: end }
  }
}

function rejected(reason: Rejection): Understood {
  return { kind: 'rejected', reason }
}

/** One past the last word of the longest name said at `first`; `first` itself when none is said there. */
function endOfName(names: Network, words: readonly string[], first: number, end: number): number {
  for (let to = end; to > first; to--) {
    if (match(names, words.slice(first, to)).length > 0) return to
  }
  return first
}
