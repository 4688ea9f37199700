import type { Lexicon } from '../../../grammar/lexicon.ts'
import type { WordAutomaton } from './wordAutomaton.ts'

/** Something that may be said as a whole: a public rule of a grammar. */
export interface Sayable {
  /** of the grammar and of the rule in it */
  grammar: string
  rule: string
  automaton: WordAutomaton
  /** no sentence by itself: any sentence may come after it, or none before; left out, a sentence */
  isPrefix?: boolean
}

/**
 * All sentences of some automata as chains of phones, in flat arrays for the search.
 *
 * A node is a place between two words; it belongs to one sayable. From it lead the chains of the words that may come
 * next, one for each pronunciation. Chain states are numbered so that the one after state s is s + 1.
 */
export interface CommandGraph {
  words: readonly string[]
  /** by chain state: the phone, the word, and the node behind the word's last phone, -1 within it */
  phoneOf: Uint8Array
  wordOf: Int32Array
  nodeBehind: Int32Array
  /** by node: where its chains are listed in `entries`, its sayable, whether a sentence may end in it */
  entriesFrom: Int32Array
  sayableOf: Int32Array
  isFinal: Uint8Array
  /** by node: whether any sentence may begin in it */
  leadsOn: Uint8Array
  /** the first state of each chain, and the logarithm of its weight */
  entries: Int32Array
  entryWeights: Float32Array
  /** by sayable: the node in which it begins */
  starts: Int32Array
}

/**
 * @param phones names of the phones in the order of the network's outputs
 * @param branching how much of the logarithm of the number of ways to go on each word costs, 0 to 1
 * @throws Error for a word without pronunciation
 */
export function commandGraph(
  sayables: readonly Sayable[],
  lexicon: Lexicon,
  phones: readonly string[],
  branching: number,
): CommandGraph {
  const phoneNumber = new Map(phones.map((phone, index) => [phone, index]))
  const words: string[] = []
  const wordNumber = new Map<string, number>()
  const phoneOf: number[] = []
  const wordOf: number[] = []
  const nodeBehind: number[] = []
  const entriesFrom: number[] = []
  const sayableOf: number[] = []
  const isFinal: number[] = []
  const leadsOn: number[] = []
  const entries: number[] = []
  const entryWeights: number[] = []
  const starts: number[] = []

  const numberOf = (word: string): number => {
    const known = wordNumber.get(word)
    if (known !== undefined) return known
    wordNumber.set(word, words.push(word) - 1)
    return words.length - 1
  }

  sayables.forEach(({ automaton, isPrefix = false }, sayable) => {
    const firstNode = entriesFrom.length
    starts.push(firstNode)
    for (const { isFinal: ends, arcs } of automaton.states) {
      entriesFrom.push(entries.length)
      sayableOf.push(sayable)
      isFinal.push(ends && !isPrefix ? 1 : 0)
      leadsOn.push(ends && isPrefix ? 1 : 0)
      const ways = arcs.length + (ends ? 1 : 0)
      for (const { word, weight, to } of arcs) {
        const pronunciations = lexicon.get(word)
        if (pronunciations === undefined) throw new Error(`"${word}" has no pronunciation`)
        for (const pronunciation of pronunciations) {
          entries.push(phoneOf.length)
          entryWeights.push(weight - branching * Math.log(ways))
          pronunciation.forEach((phone, place) => {
            const number = phoneNumber.get(phone)
            if (number === undefined) throw new Error(`the network has no phone ${phone}`)
            phoneOf.push(number)
            wordOf.push(numberOf(word))
            nodeBehind.push(place === pronunciation.length - 1 ? firstNode + to : -1)
          })
        }
      }
    }
  })
  entriesFrom.push(entries.length)
  return {
    words,
    phoneOf: Uint8Array.from(phoneOf),
    wordOf: Int32Array.from(wordOf),
    nodeBehind: Int32Array.from(nodeBehind),
    entriesFrom: Int32Array.from(entriesFrom),
    sayableOf: Int32Array.from(sayableOf),
    isFinal: Uint8Array.from(isFinal),
    leadsOn: Uint8Array.from(leadsOn),
    entries: Int32Array.from(entries),
    entryWeights: Float32Array.from(entryWeights),
    starts: Int32Array.from(starts),
  }
}
