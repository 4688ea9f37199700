import type { WordPosition } from './wordPosition.ts'
import type { Graph } from './graph.ts'
import type { Pronunciation } from './lexicon.ts'
import type { PhoneModel } from './phoneModel.ts'
import type { PhoneTable } from './phoneTable.ts'

/** The word that stands for any other talk. */
export const genericWord = '[unk]'

/** How generic speech is modelled, and what it costs beside real words. */
export type GenericSpeech =
  /** the Sphinx model's own phone for speech that is no word */
  | { kind: 'phone'; phone: string; word: number }
  /** any two or more phones in a row, at `phone` each; or, for `listed`, one of many common words: these make talk cheap */
  | { kind: 'loop'; word: number; phone: number; listed: number }

/**
 * Adds the word `[unk]`. Words compete with it: what fits them no better than it fits this is not a word.
 *
 * @param listed words that people say, commands or not: of a word that is not open, nothing else should be made
 */
export function addGenericSpeech(
  graph: Graph,
  from: readonly number[],
  to: number,
  model: PhoneModel,
  table: PhoneTable,
  generic: GenericSpeech,
  listed: readonly Pronunciation[],
): void {
  if (generic.kind === 'phone') {
    const chain = graph.chain(table.generic, model.withoutContext(generic.phone))
    for (const entry of from) chain.enter(entry, genericWord, generic.word)
    graph.empty(chain.last, to)
    return
  }
  const hub = graph.node()
  for (const phone of model.speech) {
    const states = model.withoutContext(phone)
    const begin = graph.chain(table.inWord(phone, 'begin'), states)
    const internal = graph.chain(table.inWord(phone, 'internal'), states)
    const end = graph.chain(table.inWord(phone, 'end'), states)
    for (const entry of from) begin.enter(entry, genericWord, generic.word + generic.phone)
    internal.enter(hub, null, generic.phone)
    end.enter(hub, null, generic.phone)
    graph.empty(begin.last, hub)
    graph.empty(internal.last, hub)
    graph.empty(end.last, to)
  }
  addListed(graph, from, to, model, table, generic.word + generic.listed, listed)
}

/** Adds words that all count as `[unk]`, in a tree by their beginnings. */
function addListed(
  graph: Graph,
  from: readonly number[],
  to: number,
  model: PhoneModel,
  table: PhoneTable,
  cost: number,
  words: readonly Pronunciation[],
): void {
  /** the node behind each beginning of a word, and behind each whole word */
  const behind = new Map<string, number>()
  const extend = (before: number | null, key: string, phone: string, position: WordPosition): number => {
    const known = behind.get(key)
    if (known !== undefined) return known
    const chain = graph.chain(table.inWord(phone, position), model.withoutContext(phone))
    if (before === null) for (const entry of from) chain.enter(entry, genericWord, cost)
    else chain.enter(before, null, 0)
    if (isWhole(position)) graph.empty(chain.last, to)
    behind.set(key, chain.last)
    return chain.last
  }
  for (const { phones } of words) {
    phones.reduce<number | null>((before, phone, place) => {
      const position = positionOf(place, phones.length)
      const key = [...phones.slice(0, place + 1), ...(isWhole(position) ? ['.'] : [])].join(' ')
      return extend(before, key, phone, position)
    }, null)
  }
}

const isWhole = (position: WordPosition): boolean => position === 'end' || position === 'single'

function positionOf(place: number, length: number): WordPosition {
  if (length === 1) return 'single'
  return place === 0 ? 'begin' : place === length - 1 ? 'end' : 'internal'
}
