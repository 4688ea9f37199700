import {
  everyPhoneOnce,
  statesOf,
  textArcs,
  wordTable,
  type BuiltModel,
  type GraphCosts,
} from './buildModel.ts'
import { genericWord } from './graph/genericSpeech.ts'
import { readLexicon } from './graph/lexicon.ts'
import type { OpenFst } from './graph/openFst.ts'
import { PhoneTable } from './graph/phoneTable.ts'
import { wordGraph } from './graph/wordGraph.ts'
import { finalModel } from './kaldi/finalModel.ts'
import { TransitionModel } from './kaldi/transitionModel.ts'
import { MonophoneModel } from './monophoneModel.ts'
import type { TrainedNetwork } from './trainedNetwork.ts'

/**
 * Packs a trained network in the engine's format with a graph for the words of a lexicon.
 *
 * @param lexiconText see {@link readLexicon}
 * @param othersText the same, of words that are heard as `[unk]`
 * @param modelConf the text of `conf/model.conf`
 */
export function buildTrained(
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
