/** Length of a frame that is copied whole, in seconds: two periods of the lowest voice. */
const frameSeconds = 0.02

/** How far a frame may be moved to fit the one before it, in seconds each way: one period of the lowest voice. */
const searchSeconds = 0.01

/** Only every third sample is compared: the speech was recorded at 16 kHz and is played at 48. */
const stride = 3

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
  const frame = hop * 2
  const output = new Float32Array(Math.round(samples.length / speed))
  let continuation = 0
  for (let at = -hop; at < output.length; at += hop) {
    const wanted = Math.round(at * speed)
    const from = at < 0 ? -hop : bestMatch(samples, continuation, wanted, hop, search)
    for (let index = 0; index < frame; index++) {
      const target = at + index
      if (target < 0 || target >= output.length) continue
      const window = 0.5 - 0.5 * Math.cos((Math.PI * (index + 0.5)) / hop)
      output[target] = (output[target] ?? 0) + window * (samples[from + index] ?? 0)
    }
    continuation = from + hop
  }
  return output
}

/** Where, near `wanted`, the input looks most like what would have followed: the highest normalised correlation. */
function bestMatch(
  samples: Float32Array,
  continuation: number,
  wanted: number,
  length: number,
  search: number,
) {
  let best = wanted
  let bestLikeness = -Infinity
  for (let from = wanted - search; from <= wanted + search; from += stride) {
    let product = 0
    let power = 1e-9
    for (let index = 0; index < length; index += stride) {
      const one = samples[from + index] ?? 0
      product += one * (samples[continuation + index] ?? 0)
      power += one * one
    }
    const likeness = product / Math.sqrt(power)
    if (likeness > bestLikeness) [best, bestLikeness] = [from, likeness]
  }
  return best
}
