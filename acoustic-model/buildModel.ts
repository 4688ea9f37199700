import { genericWord, type GenericSpeech } from './graph/genericSpeech.ts'
import type { Graph } from './graph/graph.ts'
import { readLexicon } from './graph/lexicon.ts'
import type { OpenFst, TextArc } from './graph/openFst.ts'
import { silence, type Filler, type PhoneModel } from './graph/phoneModel.ts'
import { PhoneTable } from './graph/phoneTable.ts'
import { wordGraph } from './graph/wordGraph.ts'
import { wordPositions } from './graph/wordPosition.ts'
import { finalModel } from './kaldi/finalModel.ts'
import { TransitionModel, type StateOfPhone } from './kaldi/transitionModel.ts'
import { MonophoneModel } from './monophoneModel.ts'
import type { TrainedNetwork } from './trainedNetwork.ts'

/** Costs of the graph that were tuned by measurement: see README.md. */
export interface GraphCosts {
  fillers: readonly Filler[]
  generic: GenericSpeech
}

export interface BuiltModel {
  /** bytes or text by path, for {@link pack} */
  files: Map<string, Uint8Array | string>
  figures: { words: number; pronunciations: number; senones: number; nodes: number; arcs: number }
}

/**
 * Packs a trained network in the engine's format with a graph for the words of a lexicon.
 *
 * @param lexiconText see {@link readLexicon}
 * @param othersText the same, of words that are heard as `[unk]`
 * @param modelConf the text of `conf/model.conf`
 */
export function buildModel(
  trained: TrainedNetwork,
  lexiconText: string,
  othersText: string,
  modelConf: string,
  costs: GraphCosts,
  fst: OpenFst,
): BuiltModel {
  const phones = new MonophoneModel(trained.phones, costs.fillers)
  const lexicon = readLexicon(lexiconText, new Set(phones.speech))
  const table = new PhoneTable(
    costs.fillers.map(({ phone }) => phone),
    phones.speech,
  )
  const others = readLexicon(othersText, new Set(phones.speech))
  const graph = wordGraph(lexicon, phones, table, costs.generic, others)
  const transitions = new TransitionModel(table.size, phones.statesPerPhone, [
    ...statesOf(graph),
    ...everyPhoneOnce(phones, table),
  ])
  const words = [...new Set(lexicon.map(({ word }) => word)), genericWord]
  const compiled = fst.lookAhead(textArcs(graph, transitions, words), graph.finals)
  const labels = words.map((_, index) => compiled.relabelled.get(index + 1) ?? index + 1)
  const anyWord = labels.map((label) => ({ from: 0, to: 0, input: label, output: label, cost: 0 }))
  return {
    files: new Map<string, Uint8Array | string>([
      ['model/am/final.mdl', finalModel(transitions, trained.network)],
      ['model/conf/fbank.conf', trained.features],
      // for our own decoder: it marks a network of these units
      ['model/units.txt', trained.phones.map((phone) => `${phone}\n`).join('')],
      ['model/conf/model.conf', modelConf],
      ['model/graph/HCLr.fst', compiled.bytes],
      ['model/graph/Gr.fst', fst.grammar(anyWord, [0])],
      ['model/graph/words.txt', wordTable(words, labels)],
      ['model/graph/disambig_tid.int', ''],
      ['model/graph/phones/word_boundary.int', table.wordBoundaries()],
    ]),
    figures: {
      words: words.length,
      pronunciations: lexicon.length,
      senones: 2 * trained.phones.length,
      nodes: graph.size,
      arcs: graph.arcs.length,
    },
  }
}

function statesOf(graph: Graph): StateOfPhone[] {
  return graph.arcs.flatMap(({ input }) => (input === null ? [] : [input.state]))
}

/** The engine wants every phone to have states, also those that no word uses. */
function everyPhoneOnce(phones: PhoneModel, table: PhoneTable): StateOfPhone[] {
  const states = (phone: string, number: number): StateOfPhone[] =>
    phones
      .withoutContext(phone)
      .map(({ pdf, furtherPdf = pdf }, state) => ({ phone: number, state, pdf, furtherPdf }))
  const speech = phones.speech.flatMap((phone) =>
    wordPositions.flatMap((position) => states(phone, table.inWord(phone, position))),
  )
  return [...states(silence, table.generic), ...speech]
}

function textArcs(graph: Graph, transitions: TransitionModel, words: readonly string[]): TextArc[] {
  const labels = new Map(words.map((word, index) => [word, index + 1]))
  return graph.arcs.map(({ from, to, input, output, cost }) => ({
    from,
    to,
    input: input === null ? 0 : transitions.transitionIds(input.state)[input.transition],
    output: output === null ? 0 : (labels.get(output) ?? 0),
    cost,
  }))
}

function wordTable(words: readonly string[], labels: readonly number[]): string {
  return ['<eps> 0\n', ...words.map((word, index) => `${word} ${labels[index]}\n`)].join('')
}
