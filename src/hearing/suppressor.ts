import { Rnnoise } from '@shiguredo/rnnoise-wasm'

/** The rate that RNNoise was trained at, Hz. */
export const suppressorRate = 48000

/** RNNoise's own delay: an overlapped window and one frame of look-ahead. Measured by cross-correlation. */
export const suppressorDelay = 960 / suppressorRate

/** Samples in a frame, 10 ms. */
export const suppressorFrame = 480

/** Takes noise out of speech, a frame at a time. */
export interface Suppressor {
  /**
   * Takes any number of samples in -1..1 at 48 kHz and gives what is ready, in whole frames, late by
   * {@link suppressorDelay}.
   */
  process(input: Float32Array): {
    samples: Float32Array
    /** how probable speech is in each frame, 0 to 1 */ voice: number[]
  }
  close(): void
}

/**
 * RNNoise (Valin, A Hybrid DSP/Deep Learning Approach to Real-Time Full-Band Speech Enhancement, 2018) with a
 * share of the untouched signal kept: a recogniser is hurt more by holes torn into speech than by some noise.
 *
 * @param dryShare 0 (only suppressed sound) to 1 (untouched)
 */
export async function createSuppressor(dryShare: number): Promise<Suppressor> {
  if (!(dryShare >= 0 && dryShare <= 1)) throw new RangeError(`dry share must lie in 0 to 1, not ${dryShare}`)
  const rnnoise = await Rnnoise.load()
  const state = rnnoise.createDenoiseState()
  const frame = new Float32Array(suppressorFrame)
  /** samples that wait for a whole frame, after the untouched ones that wait for their suppressed twins */
  let dry = new Float32Array(suppressorDelay * suppressorRate)
  let waiting = 0

  return {
    process(input) {
      const held = dry.length - waiting
      const samples = new Float32Array(dry.length + input.length)
      samples.set(dry)
      samples.set(input, dry.length)
      const frames = Math.floor((waiting + input.length) / suppressorFrame)
      const voice: number[] = []
      const output = new Float32Array(frames * suppressorFrame)
      for (let start = 0; start < output.length; start += suppressorFrame) {
        // RNNoise's samples have the range of 16-bit integers
        for (let i = 0; i < suppressorFrame; i++) frame[i] = (samples[held + start + i] as number) * 0x8000
        voice.push(state.processFrame(frame))
        for (let i = 0; i < suppressorFrame; i++) {
          output[start + i] =
            dryShare * (samples[start + i] as number) + ((1 - dryShare) * (frame[i] as number)) / 0x8000
        }
      }
      dry = samples.slice(output.length)
      waiting = waiting + input.length - output.length
      return { samples: output, voice }
    },
    close: () => state.destroy(),
  }
}
