import type { GrammarName } from '../src/messages/grammarName.ts'
import type { Network } from './jsgf/network.ts'
import { commandNetwork, nameNetwork, type Language } from './language.ts'

/** Every word of a network, sorted. */
export function wordsOf(network: Network): string[] {
  const words = new Set<string>()
  for (const arc of network.arcs.flat()) if (arc.kind === 'word') words.add(arc.word)
  return [...words].sort()
}

/** Every word that may be said while these grammars are open, the name to call included, sorted. */
export function vocabularyOf(language: Language, open: readonly GrammarName[]): string[] {
  return [...new Set([...wordsOf(commandNetwork(language, open)), ...wordsOf(nameNetwork(language))])].sort()
}
