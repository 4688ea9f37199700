import { sampleRate } from './wav.ts'

/** A stretch of time in seconds. */
export interface Span {
  onset: number
  end: number
}

const frame = Math.round(0.005 * sampleRate)
const below = 10 ** (-36 / 20)
const lasting = 4

/** Root mean square of samples from one index up to another. */
export function rms(samples: Float32Array, from = 0, to = samples.length): number {
  let sum = 0
  for (let at = from; at < to; at++) sum += (samples[at] ?? 0) ** 2
  return Math.sqrt(sum / Math.max(1, to - from))
}

/**
 * Where speech begins and ends in a clip without noise: the first and last stretch of 20 ms whose 5 ms frames
 * all lie within 36 dB of the loudest. A fricative such as the s of "stop" lies 20 to 30 dB below the vowel, the
 * breath that some voices add lies lower.
 *
 * @throws when the clip is silent
 */
export function speechSpan(samples: Float32Array): Span {
  const levels = Array.from({ length: Math.floor(samples.length / frame) }, (_, at) =>
    rms(samples, at * frame, (at + 1) * frame),
  )
  const threshold = Math.max(0, ...levels) * below
  const lasts = (_: number, at: number) =>
    at + lasting <= levels.length && levels.slice(at, at + lasting).every((level) => level > threshold)
  const first = levels.findIndex(lasts)
  if (first < 0) throw new RangeError('the clip is silent')
  const last = levels.findLastIndex(lasts) + lasting
  return { onset: (first * frame) / sampleRate, end: (last * frame) / sampleRate }
}
