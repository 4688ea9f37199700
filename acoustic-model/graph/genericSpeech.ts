import type { Graph } from './graph.ts'
import type { PhoneModel } from './phoneModel.ts'
import type { PhoneTable } from './phoneTable.ts'

/** The word that stands for any other talk. */
export const genericWord = '[unk]'

/** How generic speech is modelled, and what it costs beside real words. */
export type GenericSpeech =
  /** the Sphinx model's own phone for speech that is no word */
  | { kind: 'phone'; phone: string; word: number }
  /** any two or more phones in a row, each without context; `phone` is the cost of each */
  | { kind: 'loop'; word: number; phone: number }

/** Adds the word `[unk]`. Words compete with it: what fits them no better than it fits this is not a word. */
export function addGenericSpeech(
  graph: Graph,
  from: readonly number[],
  to: number,
  model: PhoneModel,
  table: PhoneTable,
  generic: GenericSpeech,
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
}
