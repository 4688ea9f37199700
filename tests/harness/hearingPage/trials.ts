import { bundledLanguage } from '../../../grammar/bundledLanguage.ts'
import { unknownWord } from '../../../grammar/understand.ts'
import { eagerPhrases, holdOf } from '../../../src/hearing/eagerPhrases.ts'
import { openGrammars } from '../../../src/hearing/openGrammars.ts'
import type { FromWorker, Sound, VoiceBeside, Word } from '../../../src/hearing/protocol.ts'
import type { Hypothesis } from '../../../src/hearing/readings.ts'
import { startRecogniser, type RecogniserClient } from '../../../src/hearing/recogniser.ts'
import { createResampler } from '../../../src/hearing/resampler.ts'
import type { Tuning } from '../../../src/hearing/tuning.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'

/** The rate of a usual audio context. */
const contextRate = 48000
const fixtureRate = 16000
const pieceFrames = contextRate / 50

/** What is open in a trial: grammars of the tool, or bare phrases for the engine. */
export type Opened = { grammars: GrammarName[] } | { phrases: string[] }

export interface TrialOptions {
  tuning: Tuning
  /** seconds a stop-class word must stand still, instead of the ear's own; null: no utterance ends before its silence */
  hold?: number | null
}

/** An utterance as the worker told it. Times count from the trial's first sample. */
export interface Utterance {
  /** of the best hypothesis */
  words: readonly Word[]
  hypotheses: readonly Hypothesis[]
  /** how far listening had come when it was told */
  until: number
  eager: boolean
  beside: readonly VoiceBeside[]
}

export interface TrialOutcome {
  utterances: Utterance[]
  /** how long the worker took for the whole trial, and how long the trial is, seconds */
  took: number
  seconds: number
}

let client: RecogniserClient | null = null
let port: MessagePort | null = null
let tell: (message: FromWorker) => void = () => {}
/** the frame number the next trial begins at: far behind the last one's end, so that the worker begins afresh */
let frame = 0
let id = 0

/** Starts the worker with a model. Gives the seconds that took. */
export async function openTrials(model: string, { tuning }: TrialOptions): Promise<number> {
  client?.close()
  const begun = performance.now()
  await new Promise<void>((resolve, reject) => {
    tell = (message) => {
      if (message.kind === 'opened') resolve()
      if (message.kind === 'failed') reject(new Error(`${message.reason}: ${message.detail}`))
    }
    client = startRecogniser({
      model,
      language: 'en',
      sampleRate: contextRate,
      tuning,
      tell: (message) => tell(message),
    })
    port = client.source()
  })
  return (performance.now() - begun) / 1000
}

const opened = new Map<string, Promise<readonly string[]>>()

function phrasesOf(open: Opened): Promise<readonly string[]> {
  const key = JSON.stringify(open)
  const known = opened.get(key)
  if (known !== undefined) return known
  const phrases =
    'phrases' in open
      ? Promise.resolve([...open.phrases, unknownWord])
      : bundledLanguage('en').then((language) => openGrammars(language, open.grammars, false).phrases)
  opened.set(key, phrases)
  return phrases
}

/**
 * Puts 16 kHz, 16-bit sound through the worker as fast as it goes. It is the page's whole path but for the
 * microphone and the audio thread, whose part, 20 ms pieces of 48 kHz with their frame numbers, is made here.
 */
export async function runTrial(sound: string, open: Opened, options: TrialOptions): Promise<TrialOutcome> {
  const [running, into] = [client, port]
  if (running === null || into === null) throw new Error('openTrials comes first')
  const integers = new Int16Array(await (await fetch(sound)).arrayBuffer())
  const samples = createResampler(fixtureRate, contextRate).process(
    Float32Array.from(integers, (sample) => sample / 0x8000),
  )
  const phrases = await phrasesOf(open)
  const eager = options.hold === null ? [] : eagerPhrases(await bundledLanguage('en'))

  const zero = frame / contextRate
  const utterances: Utterance[] = []
  const begun = performance.now()
  const hold = options.hold ?? holdOf('grammars' in open ? open.grammars : [])
  running.listen({ id: ++id, phrases, eager, hold, notBefore: 0 })
  for (let at = 0; at + pieceFrames <= samples.length; at += pieceFrames) {
    const piece: Sound = { kind: 'sound', frame: frame + at, samples: samples.slice(at, at + pieceFrames) }
    into.postMessage(piece, [piece.samples.buffer])
  }
  const end = (frame + samples.length) / contextRate - 0.02
  await new Promise<void>((resolve, reject) => {
    tell = (message) => {
      if (message.kind === 'failed') reject(new Error(message.detail))
      if (message.kind === 'pong') {
        if (message.until !== null && message.until >= end) resolve()
        else running.ping()
      }
      if (message.kind === 'heard' && message.id === id) {
        const hypotheses = message.hypotheses.map((hypothesis) => ({
          ...hypothesis,
          words: hypothesis.words.map((word) => ({
            ...word,
            onset: word.onset - zero,
            end: word.end - zero,
          })),
        }))
        const words = hypotheses[0]?.words ?? []
        const beside = message.beside.map(({ at, level }) => ({ at: at - zero, level }))
        utterances.push({ words, hypotheses, until: message.until - zero, eager: message.eager, beside })
      }
    }
    running.ping()
  })
  frame += samples.length + 10 * contextRate
  return { utterances, took: (performance.now() - begun) / 1000, seconds: samples.length / contextRate }
}
