/** A streaming converter between two sample rates. */
export interface Resampler {
  /**
   * Takes the next samples and gives those that can be computed by now. Output sample n belongs to the time of
   * input sample n x from / to exactly: the filter is symmetric and its look-ahead is waited for, so nothing shifts.
   */
  process(input: Float32Array): Float32Array
}

/** Zero crossings of the sinc on each side, and Kaiser's shape: 80 dB down outside a transition of 1.25 kHz at 16 kHz. */
const zeroCrossings = 32
const kaiserBeta = 8
/** where the filter is 6 dB down, as a share of the lower of the two Nyquist frequencies */
const rolloff = 0.94

/**
 * A windowed-sinc polyphase resampler for any ratio of whole sample rates (Crochiere and Rabiner, Multirate
 * Digital Signal Processing, 1983; window by Kaiser, 1974).
 *
 * @param from input rate in Hz, a positive whole number
 * @param to output rate in Hz, a positive whole number
 */
export function createResampler(from: number, to: number): Resampler {
  for (const rate of [from, to]) {
    if (!Number.isInteger(rate) || rate <= 0)
      throw new RangeError(`sample rate must be a whole number of Hz, not ${rate}`)
  }
  if (from === to) return { process: (input) => input }

  const divisor = greatestCommonDivisor(from, to)
  const up = to / divisor
  const down = from / divisor
  const half = Math.ceil(zeroCrossings * Math.max(1, down / up))
  const phases = filterBank(up, down, half)

  /** the tail of the input that later outputs still need; its first sample is input sample `start` */
  let tail: Float32Array = new Float32Array(half)
  let start = -half
  let made = 0

  return {
    process(input) {
      const samples = new Float32Array(tail.length + input.length)
      samples.set(tail)
      samples.set(input, tail.length)
      const end = start + samples.length

      /** outputs whose whole filter lies before `end` */
      const ready = Math.max(0, Math.ceil(((end - half) * up) / down) - made)
      const output = new Float32Array(ready)
      for (let i = 0; i < ready; i++, made++) {
        const position = Math.floor((made * down) / up)
        const taps = phases[(made * down) % up] as Float32Array
        const first = position - half + 1 - start
        let sum = 0
        for (let k = 0; k < taps.length; k++) sum += (taps[k] as number) * (samples[first + k] as number)
        output[i] = sum
      }

      const needed = Math.floor((made * down) / up) - half + 1
      tail = samples.slice(needed - start)
      start = needed
      return output
    },
  }
}

/** One set of taps for each fraction of an input sample at which an output may fall. */
function filterBank(up: number, down: number, half: number): Float32Array[] {
  const cutoff = rolloff * Math.min(1, up / down)
  return Array.from({ length: up }, (_, phase) => {
    const taps = Float32Array.from({ length: 2 * half }, (_, k) => {
      const distance = k - half + 1 - phase / up
      return cutoff * sinc(cutoff * distance) * kaiser(distance / half)
    })
    // each phase passes a constant unchanged, so that no ripple is added at the ratio's own frequency
    const gain = taps.reduce((sum, tap) => sum + tap, 0)
    return taps.map((tap) => tap / gain)
  })
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)
}

function kaiser(x: number): number {
  return Math.abs(x) >= 1 ? 0 : besselI0(kaiserBeta * Math.sqrt(1 - x * x)) / besselI0(kaiserBeta)
}

/** Modified Bessel function of the first kind, order 0, by its power series. */
function besselI0(x: number): number {
  let sum = 1
  let term = 1
  for (let k = 1; term > sum * 1e-12; k++) {
    term *= (x / (2 * k)) ** 2
    sum += term
  }
  return sum
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b)
}
