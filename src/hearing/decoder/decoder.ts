import type { Language } from '../../../grammar/language.ts'
import { nameToCall } from '../../../grammar/language.ts'
import { networkOf } from '../../../grammar/jsgf/network.ts'
import type { Expansion } from '../../../grammar/jsgf/syntax.ts'
import type { Lexicon } from '../../../grammar/lexicon.ts'
import { unknownWord } from '../../../grammar/understand.ts'
import type { Hypothesis } from '../readings.ts'
import { calibration, decoding, endOfUtterance } from '../hearingConstants.ts'
import type { Engine, Recogniser } from '../recognition.ts'
import { createAcousticNetwork } from './acousticNetwork.ts'
import { commandGraph, type Sayable } from './commandGraph.ts'
import { createFbank, frameShift, readFbankConf } from './fbank.ts'
import { readNnet3 } from './nnet3.ts'
import { createSearch, type ScoredReading } from './search.ts'
import { talkModel } from './talkModel.ts'
import { automatonOf } from './wordAutomaton.ts'

/** Frames of features from one frame of scores to the next. */
const period = 3
const scoreFrame = period * frameShift

export interface DecoderOptions {
  /** contents of `am/final.mdl` and of `conf/fbank.conf` */
  finalModel: Uint8Array
  fbankConf: string
  /** the phones that the network scores, two outputs each, silence first */
  units: readonly string[]
  /** the WebAssembly of `kernel/kernel.as.ts` */
  kernel: Uint8Array<ArrayBuffer>
  /** what can be said, whether it is open or not */
  sayables: readonly Sayable[]
  /** how the words of `sayables` are pronounced */
  lexicon: Lexicon
  /** further words that people say */
  otherWords: Lexicon
}

/** Every public rule of some grammars, and the name to call before it where the language has one. */
export function sayablesOf(language: Language, grammars: readonly string[]): Sayable[] {
  const rules = [...language.rules.values()].filter(
    (rule) => rule.public && grammars.some((name) => rule.name.startsWith(`${name}.`)),
  )
  const automaton = (top: Expansion) => automatonOf(networkOf([top], language.rules))
  const sayables = rules.map(({ name, at }): Sayable => {
    const dot = name.lastIndexOf('.')
    return {
      grammar: name.slice(0, dot),
      rule: name.slice(dot + 1),
      automaton: automaton({ kind: 'rule', name, at }),
    }
  })
  if (!language.grammars.includes('name')) return sayables
  return [...sayables, { grammar: 'name', rule: 'name', automaton: automaton(nameToCall), isPrefix: true }]
}

/**
 * Listens for all that can be said at once; what is open is decided afterwards. One utterance at a time: a new recogniser takes
 * the place of the one before.
 *
 * @throws Error when the model is not one of our own kind
 */
export function createDecoder(options: DecoderOptions): Engine {
  const { units, lexicon, otherWords, sayables } = options
  const network = createAcousticNetwork(readNnet3(options.finalModel), options.kernel, period)
  if (network.outputSize !== 2 * units.length)
    throw new Error(
      `the network has ${network.outputSize} outputs, not two for each of ${units.length} phones`,
    )
  const fbank = createFbank(readFbankConf(options.fbankConf))
  const commands = commandGraph(sayables, lexicon, units, decoding.branching)
  const talk = talkModel(new Map([...lexicon, ...otherWords]), units, decoding.talk)
  const search = createSearch(commands, talk, decoding)

  const listen = (): Recogniser => {
    fbank.reset()
    network.reset()
    search.reset()
    return {
      accept(samples) {
        search.push(network.push(fbank.push(samples)))
        const readings = search.readings()
        const [best] = readings
        const silence = (best?.silenceAfter ?? 0) * scoreFrame
        const needed = best?.mayGoOn ? endOfUtterance.open : endOfUtterance.complete
        if (best !== undefined && best.overTalk > 0 && best.score >= search.best && silence >= needed)
          return { hypotheses: hypothesesOf(readings, search.frames) }
        // what talk explains as well is not obeyed before its end: the end may decide
        const isSure = best !== undefined && best.overTalk >= surelyMeant
        return { text: isSure ? search.soFar().join(' ') : '' }
      },
      finish() {
        // cut off in its last sound, a word may look worse than before the network made up what follows
        const before = hypothesesOf(search.readings(), search.frames)
        search.push(network.finish())
        const after = hypothesesOf(search.readings(), search.frames)
        return (before[0]?.score ?? -Infinity) > (after[0]?.score ?? -Infinity) ? before : after
      },
      close() {},
    }
  }
  return { hearsAll: true, listenFor: listen }
}

/** Odds over talk, a natural logarithm, from which on a command may be obeyed before its end. */
const surelyMeant = calibration.even + 0.5

/** Hypotheses this much less likely than the best are not worth telling. */
const worthTelling = 12

/**
 * What an utterance may have been, best first, with the logarithm of the odds against talk. A word's confidence is the chance of
 * all the hypotheses in which it stands at that time.
 */
export function hypothesesOf(readings: readonly ScoredReading[], frames: number): Hypothesis[] {
  const { scale, even, most } = calibration
  const top = readings[0]?.overTalk ?? -Infinity
  const told = readings.filter(({ overTalk }) => overTalk >= top - worthTelling)
  const odds = (overTalk: number): number =>
    Math.max(-most, Math.min(scale * (top - even), most) - scale * (top - overTalk))
  const chances = told.map(({ overTalk }) => Math.exp(odds(overTalk)))
  const all = 1 + chances.reduce((sum, chance) => sum + chance, 0)
  const confidence = (word: string, onset: number, end: number): number =>
    told.reduce((sum, { words }, at) => {
      const isThere = words.some((other) => other.word === word && other.onset < end && other.end > onset)
      return isThere ? sum + (chances[at] ?? 0) / all : sum
    }, 0)
  const time = (frame: number): number => frame * scoreFrame + decoding.onsetShift
  const hypotheses = told.map(({ words, overTalk, isAfterTalk }): Hypothesis => {
    const known = words.map(({ word, onset, end }) => ({
      word,
      onset: time(onset),
      end: time(end),
      confidence: confidence(word, onset, end),
    }))
    const before = { word: unknownWord, onset: 0, end: known[0]?.onset ?? 0, confidence: 1 }
    return { words: isAfterTalk ? [before, ...known] : known, score: odds(overTalk) }
  })
  if (hypotheses.length > 0) return hypotheses
  return [{ words: [{ word: unknownWord, onset: 0, end: time(frames), confidence: 1 }], score: -most }]
}
