import FFT from 'fft.js'

/** The options of `conf/fbank.conf` that matter here; Kaldi's defaults for what it does not say. */
export interface FbankOptions {
  sampleRate: number
  mels: number
  /** edges of the lowest and the highest filter, Hz */
  lowest: number
  highest: number
}

/** Kaldi's log mel filterbank energies of a stream, 25 ms every 10 ms. */
export interface Fbank {
  /** values in a frame */
  readonly size: number
  /** Takes samples in -1..1 and gives the frames that are whole by now, one after the other in one array. */
  push(samples: Float32Array): Float32Array
  reset(): void
}

/** Seconds from one frame to the next, and of sound in each. */
export const frameShift = 0.01
const frameLength = 0.025
const preEmphasis = 0.97
/** Kaldi's floor under energies: the gap between 1 and the next 32-bit float. */
const floor = 1.1920929e-7

/** @throws Error for options that make other features than are computed here */
export function readFbankConf(text: string): FbankOptions {
  const given = new Map<string, string>()
  for (const [, name, value] of text.matchAll(/^\s*--([\w-]+)=(\S+)/gm)) given.set(name ?? '', value ?? '')
  const number = (name: string, usual: number): number => Number(given.get(name) ?? usual)
  const fixed: Readonly<Record<string, string>> = {
    dither: '0',
    'snip-edges': 'true',
    'use-energy': 'false',
    'window-type': 'povey',
    'frame-shift': '10',
    'frame-length': '25',
    'preemphasis-coefficient': '0.97',
  }
  for (const [name, value] of Object.entries(fixed)) {
    if ((given.get(name) ?? value) !== value)
      throw new Error(`fbank.conf: --${name}=${given.get(name)} is not known here`)
  }
  const sampleRate = number('sample-frequency', 16000)
  const high = number('high-freq', 0)
  return {
    sampleRate,
    mels: number('num-mel-bins', 23),
    lowest: number('low-freq', 20),
    highest: high > 0 ? high : sampleRate / 2 + high,
  }
}

/**
 * Features as Kaldi computes them (kaldi-asr/kaldi, src/feat/feature-window.cc and mel-computations.cc): the mean taken off
 * each frame, pre-emphasis, Povey's window, power spectrum, triangular filters on the mel scale, natural logarithm.
 */
export function createFbank({ sampleRate, mels, lowest, highest }: FbankOptions): Fbank {
  const shift = Math.round(frameShift * sampleRate)
  const length = Math.round(frameLength * sampleRate)
  const points = 2 ** Math.ceil(Math.log2(length))
  const fft = new FFT(points)
  const window = Float64Array.from(
    { length },
    (_, i) => (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / (length - 1))) ** 0.85,
  )
  const filters = melFilters(mels, lowest, highest, sampleRate, points)
  const frame = new Array<number>(points).fill(0)
  const spectrum: number[] = fft.createComplexArray()
  const power = new Float64Array(points / 2)
  let waiting = new Float32Array()

  const compute = (samples: Float32Array, start: number, into: Float32Array, at: number): void => {
    let mean = 0
    for (let i = 0; i < length; i++) mean += samples[start + i] as number
    mean /= length
    // Kaldi's samples have the range of 16-bit integers
    let before = ((samples[start] as number) - mean) * 0x8000
    for (let i = 0; i < length; i++) {
      const value = ((samples[start + i] as number) - mean) * 0x8000
      frame[i] = (value - preEmphasis * before) * (window[i] as number)
      before = value
    }
    fft.realTransform(spectrum, frame)
    for (let bin = 0; bin < power.length; bin++)
      power[bin] = (spectrum[2 * bin] as number) ** 2 + (spectrum[2 * bin + 1] as number) ** 2
    filters.forEach(({ first, weights }, mel) => {
      let sum = 0
      for (let i = 0; i < weights.length; i++) sum += (weights[i] as number) * (power[first + i] as number)
      into[at + mel] = Math.log(Math.max(sum, floor))
    })
  }

  return {
    size: mels,
    push(input) {
      const samples = new Float32Array(waiting.length + input.length)
      samples.set(waiting)
      samples.set(input, waiting.length)
      const frames = Math.max(0, Math.floor((samples.length - length) / shift) + 1)
      const made = new Float32Array(frames * mels)
      for (let i = 0; i < frames; i++) compute(samples, i * shift, made, i * mels)
      waiting = samples.slice(frames * shift)
      return made
    },
    reset() {
      waiting = new Float32Array()
    },
  }
}

interface Filter {
  /** the bin of its first weight */
  first: number
  weights: Float64Array
}

const mel = (frequency: number): number => 1127 * Math.log(1 + frequency / 700)

/** Triangles as wide as their neighbours' distance, equally spaced on the mel scale. */
function melFilters(
  count: number,
  lowest: number,
  highest: number,
  sampleRate: number,
  points: number,
): Filter[] {
  const [low, high] = [mel(lowest), mel(highest)]
  const step = (high - low) / (count + 1)
  return Array.from({ length: count }, (_, index) => {
    const centre = low + (index + 1) * step
    const weights = Array.from({ length: points / 2 }, (_, bin) =>
      Math.max(0, 1 - Math.abs(mel((bin * sampleRate) / points) - centre) / step),
    )
    const first = weights.findIndex((weight) => weight > 0)
    const last = weights.findLastIndex((weight) => weight > 0)
    return {
      first: Math.max(0, first),
      weights: Float64Array.from(weights.slice(Math.max(0, first), last + 1)),
    }
  })
}
