import type { Hypothesis } from './readings.ts'

/**
 * Hears one utterance. Word times count from its first sample, in seconds. There are two: our own decoder for the built-in model
 * (`decoder/decoder.ts`) and Vosk for every other (`engine.ts`).
 */
export interface Recogniser {
  /** Samples in -1..1, 16,000 a second. When the utterance has ended, what it may have been, best first; else the text so far. */
  accept(samples: Float32Array): { hypotheses: Hypothesis[] } | { text: string }
  /** Ends the utterance at once. No sound can be accepted after it. */
  finish(): Hypothesis[]
  close(): void
}

/** A loaded model. */
export interface Engine {
  /** whether it listens for all that can be said, whatever is open, so that an utterance need not be heard again when that changes */
  readonly hearsAll: boolean
  /** @param phrases what may be said now, for an engine that has to choose beforehand */
  listenFor(phrases: readonly string[]): Recogniser
}
