import FFT from 'fft.js'

/** What the pump's ear is fed with, Hz. */
export const bandRate = 16000
/** Seconds from one frame to the next. */
export const frameSeconds = 0.02

const hop = frameSeconds * bandRate
/** Samples in a frame: 128 ms, so that the harmonics of a motor at 50 Hz lie apart. */
const size = 2048
const binWidth = bandRate / size

/** Lowest and highest frequency looked at, Hz, and how many bands an octave is cut into where they are wider than two bins. */
const lowest = 39
const highest = 7200
const perOctave = 5

/** First bin of each band, and one past the last. */
const edges = bandEdges()

/** How many numbers a frame has. */
export const bandCount = edges.length - 1

/** The least power that is told from silence, dB below full scale. */
export const silence = -100

/**
 * The power of a sound in bands of constant relative width (constant Q: Brown, Calculation of a constant Q spectral
 * transform, J. Acoust. Soc. Am. 89, 1991; here from one Fourier transform, its low bands two bins wide).
 */
export interface BandStream {
  /**
   * Takes the next samples in -1..1 at {@link bandRate} and calls back for each whole frame with its bands, dB below full scale. The array is
   * used again for the next frame.
   */
  push(samples: Float32Array, each: (bands: Float32Array) => void): void
}

/** Seconds from the first sample given to the middle of frame `n`. */
export const middleOf = (frame: number): number => (frame * hop + size / 2) / bandRate

export function createBandStream(): BandStream {
  const fft = new FFT(size)
  const window = Float64Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size))
  // a full-scale sine has a power of 1 in its band
  const scale = 1 / window.reduce((sum, weight) => sum + weight * weight, 0) / (size / 4)
  const ring = new Float32Array(size)
  const framed = new Float64Array(size)
  const spectrum = new Float64Array(2 * size)
  const bands = new Float32Array(bandCount)
  let at = 0
  let missing = size

  const frame = (): void => {
    for (let i = 0; i < size; i++) framed[i] = (window[i] as number) * (ring[(at + i) % size] as number)
    fft.realTransform(spectrum, framed)
    for (let band = 0; band < bandCount; band++) {
      let power = 0
      for (let bin = edges[band] as number; bin < (edges[band + 1] as number); bin++)
        power += (spectrum[2 * bin] as number) ** 2 + (spectrum[2 * bin + 1] as number) ** 2
      bands[band] = Math.max(silence, 10 * Math.log10(power * scale + 1e-12))
    }
  }

  return {
    push(samples, each) {
      for (const sample of samples) {
        ring[at] = sample
        at = (at + 1) % size
        if (--missing > 0) continue
        missing = hop
        frame()
        each(bands)
      }
    },
  }
}

function bandEdges(): number[] {
  const found = [Math.round(lowest / binWidth)]
  for (let edge = lowest; edge < highest;) {
    edge += Math.max(2 * binWidth, edge * (2 ** (1 / perOctave) - 1))
    found.push(Math.round(edge / binWidth))
  }
  return found
}
