import { Graph } from './graph.ts'
import type { Pronunciation } from './lexicon.ts'
import { silence, type EmittingState, type PhoneModel } from './phoneModel.ts'
import type { PhoneTable } from './phoneTable.ts'
import { addGenericSpeech, type GenericSpeech } from './genericSpeech.ts'

/** Which phone was spoken last and which comes next; on either side it may be silence. */
class Boundaries {
  private readonly nodes = new Map<string, number>()

  constructor(
    graph: Graph,
    start: number,
    readonly pause: number,
    readonly ends: readonly string[],
    readonly starts: readonly string[],
  ) {
    for (const end of ends) for (const first of starts) this.nodes.set(`${end} ${first}`, graph.node())
    for (const first of starts) graph.empty(start, this.between(silence, first))
  }

  between(last: string, next: string): number {
    const node = next === silence ? this.pause : this.nodes.get(`${last} ${next}`)
    if (node === undefined) throw new Error(`no boundary between ${last} and ${next}`)
    return node
  }

  /** Neighbours that a word may have before it, and after it. */
  get before(): readonly string[] {
    return this.ends
  }

  get after(): readonly string[] {
    return [...this.starts.filter((first) => first !== silence), silence]
  }
}

/**
 * The graph of all words in any order, each with its triphones across word boundaries: the engine composes it
 * with a grammar. Between words there is nothing, or fillers; a word next to a filler has silence as its
 * neighbour. Neighbours that lead to the same states share them.
 *
 * @param others words that are never a word of the grammar but say that something else was said
 */
export function wordGraph(
  lexicon: readonly Pronunciation[],
  model: PhoneModel,
  table: PhoneTable,
  generic: GenericSpeech,
  others: readonly Pronunciation[] = [],
): Graph {
  const graph = new Graph()
  const start = 0
  const pause = graph.node()
  const phonesAt = (place: number): string[] => [
    ...new Set(lexicon.map(({ phones }) => phones.at(place) ?? '').filter((phone) => phone !== '')),
  ]
  const boundaries = new Boundaries(
    graph,
    start,
    pause,
    [...phonesAt(-1).sort(), silence],
    phonesAt(0).sort(),
  )
  for (const { phone, cost } of model.fillers) {
    const filler = graph.chain(table.filler(phone), model.withoutContext(phone))
    filler.enter(start, null, cost)
    filler.enter(pause, null, cost)
    graph.empty(filler.last, start)
  }
  graph.finals.add(start)
  graph.finals.add(pause)
  for (const pronunciation of lexicon) addWord(graph, boundaries, model, table, pronunciation)
  addGenericSpeech(graph, [start, pause], start, model, table, generic, [...lexicon, ...others])
  return graph
}

function addWord(
  graph: Graph,
  boundaries: Boundaries,
  model: PhoneModel,
  table: PhoneTable,
  { word, phones }: Pronunciation,
): void {
  const first = phones[0] ?? ''
  const last = phones.at(-1) ?? ''
  if (phones.length === 1) {
    const number = table.inWord(first, 'single')
    const rights = (left: string): Map<string, readonly string[]> =>
      group(boundaries.after, (right) => keyOf(model.inContext(first, left, right, 'single')))
    for (const lefts of group(boundaries.before, (left) => JSON.stringify([...rights(left)])).values()) {
      const left = lefts[0] ?? silence
      for (const after of rights(left).values()) {
        const chain = graph.chain(number, model.inContext(first, left, after[0] ?? silence, 'single'))
        for (const before of lefts) chain.enter(boundaries.between(before, first), word, 0)
        for (const right of after) graph.empty(chain.last, boundaries.between(last, right))
      }
    }
    return
  }

  let joint = graph.node()
  const second = phones[1] ?? ''
  const openings = group(boundaries.before, (left) => keyOf(model.inContext(first, left, second, 'begin')))
  for (const lefts of openings.values()) {
    const chain = graph.chain(
      table.inWord(first, 'begin'),
      model.inContext(first, lefts[0] ?? silence, second, 'begin'),
    )
    for (const before of lefts) chain.enter(boundaries.between(before, first), word, 0)
    graph.empty(chain.last, joint)
  }
  for (let place = 1; place < phones.length - 1; place++) {
    const phone = phones[place] ?? ''
    const states = model.inContext(phone, phones[place - 1] ?? '', phones[place + 1] ?? '', 'internal')
    const chain = graph.chain(table.inWord(phone, 'internal'), states)
    chain.enter(joint, null, 0)
    joint = chain.last
  }
  const before = phones.at(-2) ?? ''
  for (const rights of group(boundaries.after, (right) =>
    keyOf(model.inContext(last, before, right, 'end')),
  ).values()) {
    const chain = graph.chain(
      table.inWord(last, 'end'),
      model.inContext(last, before, rights[0] ?? silence, 'end'),
    )
    chain.enter(joint, null, 0)
    for (const right of rights) graph.empty(chain.last, boundaries.between(last, right))
  }
}

/** Items with the same key, in the order of their first. */
function group(items: readonly string[], key: (item: string) => string): Map<string, readonly string[]> {
  const groups = new Map<string, string[]>()
  for (const item of items) groups.set(key(item), [...(groups.get(key(item)) ?? []), item])
  return groups
}

function keyOf(states: readonly EmittingState[]): string {
  return states.map(({ pdf }) => pdf).join(' ')
}
