/** What the page, the audio thread and the recogniser's worker say to each other. Times are the audio context's, in seconds. */

import type { ModelProblem } from './modelArchive.ts'
import type { Hypothesis } from './readings.ts'
import type { Tuning } from './tuning.ts'

/** From the audio thread: mono, in -1..1. */
export interface Sound {
  kind: 'sound'
  /** the audio context's frame number of the first sample */
  frame: number
  samples: Float32Array
}

/** A word as the engine heard it; `[unk]` stands for speech that is none of the grammar's words. */
export interface Word {
  word: string
  onset: number
  end: number
  /** 0 to 1 */
  confidence: number
}

/** How long the pieces are in which voices are told from other sounds: what the noise suppressor works in. */
export const voiceSeconds = 0.01

/** A piece of {@link voiceSeconds} with a voice in it that is in none of an utterance's known words. */
export interface VoiceBeside {
  at: number
  /** how loud, dB against the words */
  level: number
}

/** What to listen for from now on. */
export interface Listen {
  kind: 'listen'
  /** comes back with everything that is heard under this grammar */
  id: number
  phrases: readonly string[]
  /** phrases that end the utterance as soon as they stand still for `hold` seconds, without waiting for silence */
  eager: readonly string[]
  hold: number
  /** sound before this time is not listened to */
  notBefore: number
}

export type ToWorker =
  | {
      kind: 'open'
      /** a tar.gz or zip with a Vosk model */
      model: string | Blob
      wasmUrl: string
      /** the code of the language, whose grammars our own decoder listens for */
      language: string
      /** the audio context's rate, Hz */
      sampleRate: number
      tuning: Tuning
    }
  | { kind: 'source'; port: MessagePort }
  | Listen
  | { kind: 'ping' }

export type FromWorker =
  | { kind: 'loading'; /** 0 to 1 */ progress: number }
  | { kind: 'opened'; vocabulary: ReadonlySet<string>; notice: string | null }
  | {
      kind: 'failed'
      reason: 'model missing' | 'model broken' | 'worker died'
      /** what is wrong with the model, when it is the model */
      problem?: ModelProblem
      detail: string
    }
  /** sent for every piece of an utterance: how far listening has come and what it sounds like so far */
  | { kind: 'partial'; id: number; until: number; text: string }
  /** the end of an utterance of at least one word; `eager` when it did not wait for silence */
  | {
      kind: 'heard'
      id: number
      until: number
      /** what it may have been, best first, at least one */
      hypotheses: readonly Hypothesis[]
      eager: boolean
      /** voices in the utterance, and shortly before it, that are in none of its known words */
      beside: readonly VoiceBeside[]
    }
  /** `until`: the context's time up to which sound has been worked through; null before there was any */
  | { kind: 'pong'; until: number | null }
