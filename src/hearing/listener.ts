import { unknownWord } from '../../grammar/understand.ts'
import { engineRate } from './engineRate.ts'
import { createFrontEnd, voiceFrame, type FrontEnd } from './frontEnd.ts'
import type { FromWorker, Listen, Sound } from './protocol.ts'
import type { Hypothesis } from './readings.ts'
import type { Engine, Recogniser } from './recognition.ts'
import { Recent } from './recent.ts'
import type { Suppressor } from './suppressor.ts'
import type { Tuning } from './tuning.ts'
import { VoiceTrack } from './voiceTrack.ts'

/** Samples given to the engine at a time: 50 ms. */
const piece = engineRate / 20
/** Samples kept for a grammar that changes in mid-utterance: 3 s. */
const kept = 3 * engineRate
/** Listening begins this many samples before speech is noticed: 0.3 s, for soft consonants. */
const before = 0.3 * engineRate
/** An utterance ends when nothing like speech has come for this many samples, if the engine did not end it: 0.8 s. */
const silence = 0.8 * engineRate
/** Seconds before an utterance in which voices are still told of: talk pauses for breath. */
const earlier = 1
/** Seconds. A longer gap in the sound ends the utterance; a shorter one is filled with silence, so that times stay true. */
const longGap = 0.5

/** One unbroken stretch of sound. Samples are numbered as the front end gives them. */
interface Stream {
  /** the context's frame number of the first sample, and of the next that should come */
  firstFrame: number
  nextFrame: number
  frontEnd: FrontEnd
  recent: Recent
  voices: VoiceTrack
  /** how much of the stream has been looked through for speech, and where the last of it was */
  searched: number
  lastVoice: number
  /** everything before it has been heard and told */
  done: number
}

/** An utterance under way. */
interface Utterance {
  /** the first sample the recogniser was given, and the next that it will be given */
  start: number
  next: number
  /** what it sounds like, and since which sample it has sounded so */
  text: string
  since: number
}

/**
 * Turns sound into words, one grammar at a time, and keeps account of the time of every sample.
 *
 * Each utterance has a recogniser of its own. So its word times count from a sample that is known, and its
 * running mean, which the engine takes off every frame, starts at the model's and is not worn away by the silence
 * between two commands.
 */
export class Listener {
  #stream: Stream | null = null
  #listen: Listen | null = null
  /** made beforehand, so that the first word does not wait for it */
  #recogniser: Recogniser | null = null
  #utterance: Utterance | null = null

  constructor(
    private readonly engine: Engine,
    private readonly suppressor: Suppressor,
    private readonly tuning: Tuning,
    private readonly sampleRate: number,
    private readonly tell: (message: FromWorker) => void,
  ) {}

  /** The context's time up to which sound has been worked through. */
  get until(): number | null {
    return this.#stream === null ? null : this.#stream.nextFrame / this.sampleRate
  }

  /** Listens for other phrases from now on. A word in flight is not cut: the utterance is heard again from its start. */
  listen(listen: Listen): void {
    this.#listen = listen
    const [stream, utterance] = [this.#stream, this.#utterance]
    const begins = stream === null ? 0 : this.#sampleAt(stream, listen.notBefore)
    if (this.engine.hearsAll && this.#recogniser !== null && utterance !== null && utterance.start >= begins)
      return
    this.#renew()
    if (stream === null) return
    stream.done = Math.max(stream.done, this.#sampleAt(stream, listen.notBefore))
    if (utterance !== null)
      this.#utterance = begun(Math.max(utterance.start, stream.done, stream.recent.start))
    this.#catchUp(stream)
  }

  hear({ frame, samples }: Sound): void {
    const gap = this.#stream === null ? Infinity : frame - this.#stream.nextFrame
    if (this.#stream === null || gap < 0 || gap > longGap * this.sampleRate) this.#stream = this.#begin(frame)
    else if (gap > 0) this.#take(this.#stream, new Float32Array(gap))
    this.#take(this.#stream, samples)
    this.#catchUp(this.#stream)
  }

  #begin(frame: number): Stream {
    this.#utterance = null
    this.#renew()
    return {
      firstFrame: frame,
      nextFrame: frame,
      frontEnd: createFrontEnd(this.sampleRate, this.suppressor),
      recent: new Recent(kept),
      voices: new VoiceTrack(this.tuning.voice, voiceFrame),
      searched: 0,
      lastVoice: -Infinity,
      done: 0,
    }
  }

  #take(stream: Stream, sound: Float32Array): void {
    stream.nextFrame += sound.length
    const { samples, voice } = stream.frontEnd.process(sound)
    stream.recent.push(samples)
    stream.voices.push(samples, voice)
    for (const probability of voice) {
      if (probability >= this.tuning.voice) {
        stream.lastVoice = stream.searched
        if (this.#utterance === null)
          this.#utterance = begun(Math.max(0, stream.searched - before, stream.done, stream.recent.start))
      }
      stream.searched += voiceFrame
    }
  }

  /** Gives the recogniser what there is of the utterance, in whole pieces. */
  #catchUp(stream: Stream): void {
    for (;;) {
      const [utterance, recogniser, listen] = [this.#utterance, this.#recogniser, this.#listen]
      if (utterance === null || recogniser === null || listen === null) return
      if (utterance.next + piece > stream.recent.end) return
      const outcome = recogniser.accept(stream.recent.slice(utterance.next, utterance.next + piece))
      utterance.next += piece

      if ('hypotheses' in outcome) this.#finish(stream, utterance, outcome.hypotheses, false)
      else if (this.#isClear(utterance, outcome.text, listen))
        this.#finish(stream, utterance, recogniser.finish(), true)
      else if (utterance.next - stream.lastVoice > silence)
        this.#finish(stream, utterance, recogniser.finish(), false)
      else
        this.tell({
          kind: 'partial',
          id: listen.id,
          until: this.#timeAt(stream, utterance.next),
          text: outcome.text,
        })
    }
  }

  /** Whether the utterance need not be waited out. */
  #isClear(utterance: Utterance, text: string, { eager, hold }: Listen): boolean {
    if (text !== utterance.text) Object.assign(utterance, { text, since: utterance.next })
    return utterance.next - utterance.since >= hold * engineRate && eager.includes(withoutTalk(text))
  }

  #finish(
    stream: Stream,
    { start, next }: Utterance,
    hypotheses: readonly Hypothesis[],
    eager: boolean,
  ): void {
    const words = hypotheses[0]?.words ?? []
    const last = words.at(-1)
    stream.done = last === undefined ? next : start + Math.round(last.end * engineRate)
    this.#utterance = null
    this.#renew()
    if (last === undefined || this.#listen === null) return
    const zero = this.#timeAt(stream, start)
    const began = start / engineRate
    const known = words
      .filter(({ word }) => word !== unknownWord)
      .map(({ onset, end }) => ({ onset: began + onset, end: began + end }))
    const beside = stream.voices.beside(known, began - earlier, next / engineRate)
    this.tell({
      kind: 'heard',
      id: this.#listen.id,
      until: this.#timeAt(stream, next),
      hypotheses: hypotheses.map((hypothesis) => ({
        ...hypothesis,
        words: hypothesis.words.map((word) => ({ ...word, onset: zero + word.onset, end: zero + word.end })),
      })),
      eager,
      beside: beside.map(({ at, level }) => ({ at: zero + at - began, level })),
    })
  }

  #renew(): void {
    this.#recogniser?.close()
    this.#recogniser = this.#listen === null ? null : this.engine.listenFor(this.#listen.phrases)
  }

  /** The context's time of a sample. */
  #timeAt({ firstFrame, frontEnd }: Stream, sample: number): number {
    return firstFrame / this.sampleRate + frontEnd.timeOf(sample)
  }

  #sampleAt(stream: Stream, time: number): number {
    return Math.ceil((time - this.#timeAt(stream, 0)) * engineRate)
  }
}

function begun(start: number): Utterance {
  return { start, next: start, text: '', since: start }
}

/** What was said after some other talk. */
function withoutTalk(text: string): string {
  const words = text.split(' ')
  return words.slice(words.findIndex((word) => word !== unknownWord)).join(' ')
}
