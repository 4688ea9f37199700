import { gaussianNetwork } from './gaussianNetwork.ts'
import { genericWord, type GenericSpeech } from './graph/genericSpeech.ts'
import type { Graph } from './graph/graph.ts'
import { readLexicon } from './graph/lexicon.ts'
import type { OpenFst, TextArc } from './graph/openFst.ts'
import { silence, type Filler, type PhoneModel } from './graph/phoneModel.ts'
import { PhoneTable } from './graph/phoneTable.ts'
import { wordGraph } from './graph/wordGraph.ts'
import { finalModel } from './kaldi/finalModel.ts'
import { meanStatistics } from './kaldi/meanStatistics.ts'
import { TransitionModel, type StateOfPhone } from './kaldi/transitionModel.ts'
import { engineInitialMean } from './meanOffset.ts'
import { mfccConf } from './mfccConf.ts'
import { wordPositions } from './sphinx/modelDefinition.ts'
import type { SphinxModel } from './sphinx/sphinxModel.ts'
import { TriphoneModel } from './triphoneModel.ts'

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
 * Converts a Sphinx model into the engine's format for the words of a lexicon.
 *
 * @param lexiconText see {@link readLexicon}
 * @param modelConf the text of `conf/model.conf`; its acoustic scale applies to transitions as well
 */
export function buildModel(
  sphinx: SphinxModel,
  lexiconText: string,
  modelConf: string,
  costs: GraphCosts,
  fst: OpenFst,
): BuiltModel {
  const scale = acousticScale(modelConf)
  const bySenone = new TriphoneModel(sphinx, scale, costs.fillers)
  const lexicon = readLexicon(lexiconText, new Set(bySenone.speech))
  const table = new PhoneTable(
    costs.fillers.map(({ phone }) => phone),
    bySenone.speech,
  )

  // once to see which senones are used, once more with those numbered as outputs
  const codebookOf = bySenone.codebooks()
  const used = statesOf(wordGraph(lexicon, bySenone, table, costs.generic)).map(({ pdf }) => pdf)
  const singles = bySenone.speech.flatMap((phone) => bySenone.withoutContext(phone).map(({ pdf }) => pdf))
  const outputs = [...new Set([...used, ...singles])].sort(
    (a, b) => (codebookOf[a] ?? 0) - (codebookOf[b] ?? 0) || a - b,
  )
  const phones = new TriphoneModel(sphinx, scale, costs.fillers, outputs)
  const graph = wordGraph(lexicon, phones, table, costs.generic)
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
      ['model/am/final.mdl', finalModel(transitions, gaussianNetwork(sphinx, outputs, codebookOf))],
      ['model/am/global_cmvn.stats', meanStatistics(engineInitialMean(sphinx.features))],
      ['model/conf/mfcc.conf', mfccConf(sphinx.features)],
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
      senones: outputs.length,
      nodes: graph.size,
      arcs: graph.arcs.length,
    },
  }
}

/** The factor for scores in the search, as `model.conf` has it. */
export function acousticScale(modelConf: string): number {
  const value = Number(/^--acoustic-scale=(.*)$/m.exec(modelConf)?.[1])
  if (!(value > 0)) throw new Error('model.conf: --acoustic-scale is missing or not above zero')
  return value
}

export function statesOf(graph: Graph): StateOfPhone[] {
  return graph.arcs.flatMap(({ input }) => (input === null ? [] : [input.state]))
}

/** The engine wants every phone to have states, also those that no word uses. */
export function everyPhoneOnce(phones: PhoneModel, table: PhoneTable): StateOfPhone[] {
  const states = (phone: string, number: number): StateOfPhone[] =>
    phones
      .withoutContext(phone)
      .map(({ pdf, furtherPdf = pdf }, state) => ({ phone: number, state, pdf, furtherPdf }))
  const speech = phones.speech.flatMap((phone) =>
    wordPositions.flatMap((position) => states(phone, table.inWord(phone, position))),
  )
  return [...states(silence, table.generic), ...speech]
}

export function textArcs(graph: Graph, transitions: TransitionModel, words: readonly string[]): TextArc[] {
  const labels = new Map(words.map((word, index) => [word, index + 1]))
  return graph.arcs.map(({ from, to, input, output, cost }) => ({
    from,
    to,
    input: input === null ? 0 : transitions.transitionIds(input.state)[input.transition],
    output: output === null ? 0 : (labels.get(output) ?? 0),
    cost,
  }))
}

export function wordTable(words: readonly string[], labels: readonly number[]): string {
  return ['<eps> 0\n', ...words.map((word, index) => `${word} ${labels[index]}\n`)].join('')
}
