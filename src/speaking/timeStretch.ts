/** Length of a frame that is copied whole, in seconds: two periods of the lowest voice. */
const frameSeconds = 0.02

/** How far a frame may be moved to fit the one before it, in seconds each way: one period of the lowest voice. */
const searchSeconds = 0.01

/** Samples a second that are compared: what the pitch and the vowels are made of lies below half of it. */
const comparedRate = 8_000

/**
 * Speaks faster or slower without changing the pitch: waveform similarity overlap-add (WSOLA; W. Verhelst and
 * M. Roelands, "An overlap-add technique based on waveform similarity for high quality time-scale modification
 * of speech", ICASSP 1993). Frames of the input are laid down at the output's pace, each moved by at most
 * 10 ms to where it best continues the one before.
 *
 * @param speed 1 leaves the samples as they are, 2 is twice as fast; the result has `length / speed` samples
 */
export function stretchTime(samples: Float32Array, sampleRate: number, speed: number): Float32Array {
  if (speed === 1) return samples
  const hop = Math.round((frameSeconds * sampleRate) / 2)
  const search = Math.round(searchSeconds * sampleRate)
  const stride = Math.max(1, Math.round(sampleRate / comparedRate))
  const frame = hop * 2
  const margin = 2 * (frame + search)
  // Silence around the samples, so that frames may begin before them and end after them.
  const input = new Float32Array(samples.length + 2 * margin)
  input.set(samples, margin)
  const output = new Float32Array(Math.round(samples.length / speed))
  let continuation = margin
  for (let at = -hop; at < output.length; at += hop) {
    const wanted = margin + Math.round(at * speed)
    const from = at < 0 ? margin - hop : bestMatch(input, continuation, wanted, hop, search, stride)
    for (let index = Math.max(0, -at); index < frame && at + index < output.length; index++) {
      const window = 0.5 - 0.5 * Math.cos((Math.PI * (index + 0.5)) / hop)
      output[at + index] = (output[at + index] ?? 0) + window * (input[from + index] ?? 0)
    }
    continuation = from + hop
  }
  return output
}

/**
 * Where, near `wanted`, the input looks most like what would have followed: the highest normalised correlation,
 * found with every `stride`-th sample and then to the sample.
 */
function bestMatch(
  input: Float32Array,
  continuation: number,
  wanted: number,
  length: number,
  search: number,
  stride: number,
): number {
  const likeness = (from: number) => {
    let product = 0
    let power = 1e-9
    for (let index = 0; index < length; index += stride) {
      const one = input[from + index] ?? 0
      product += one * (input[continuation + index] ?? 0)
      power += one * one
    }
    return product / Math.sqrt(power)
  }
  const best = (first: number, last: number, step: number) => {
    let found = first
    let highest = -Infinity
    for (let from = first; from <= last; from += step) {
      const value = likeness(from)
      if (value > highest) [found, highest] = [from, value]
    }
    return found
  }
  const near = best(wanted - search, wanted + search, stride)
  return best(near - stride + 1, near + stride - 1, 1)
}
