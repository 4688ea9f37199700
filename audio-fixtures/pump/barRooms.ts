import FFT from 'fft.js'
import { randomFrom } from '../../src/coffee/random.ts'
import { sampleRate } from '../wav.ts'

/** How a room answers, by its statistics. */
export interface BarRoom {
  name: string
  /** seconds until the echo is 60 dB down */
  reverberation: number
  /** the first sound against all echo, dB */
  directRatio: number
}

/** Four invented rooms: from curtains and a microphone near by to tiles and a microphone far away. */
export const barRooms: readonly BarRoom[] = [
  { name: 'small and soft', reverberation: 0.25, directRatio: 8 },
  { name: 'small and hard', reverberation: 0.5, directRatio: 2 },
  { name: 'wide', reverberation: 0.8, directRatio: 0 },
  { name: 'tiled hall', reverberation: 1.2, directRatio: -3 },
]

/** Samples in a block of the fast convolution. */
const block = 32768

/**
 * A sound as it is heard in a room from one place: the direct sound and an echo of noise that dies away exponentially
 * (Polack's model of late reverberation, 1988), by overlap-add. Another seed is another place in the room.
 */
export function heardIn(samples: Float32Array, room: BarRoom, seed: number): Float32Array {
  const fft = new FFT(block)
  const response = padded(responseOf(room, seed))
  const reach = block - echoLength(room)
  const answer = transformed(fft, response)
  const product = new Float64Array(2 * block)
  const back: number[] = fft.createComplexArray()
  const heard = new Float32Array(samples.length)
  for (let start = 0; start < samples.length; start += reach) {
    const part = samples.subarray(start, start + reach)
    if (part.every((sample) => sample === 0)) continue
    const spectrum = transformed(fft, padded(part))
    for (let i = 0; i < 2 * block; i += 2) {
      const [a, b, c, d] = [spectrum[i] ?? 0, spectrum[i + 1] ?? 0, answer[i] ?? 0, answer[i + 1] ?? 0]
      product[i] = a * c - b * d
      product[i + 1] = a * d + b * c
    }
    fft.inverseTransform(back, product)
    for (let i = 0; i < block && start + i < heard.length; i++)
      heard[start + i] = (heard[start + i] ?? 0) + (back[2 * i] ?? 0)
  }
  return heard
}

const echoLength = ({ reverberation }: BarRoom) => Math.round(0.7 * reverberation * sampleRate)

/** The direct sound first, then the echo; energy 1 in all. */
function responseOf(room: BarRoom, seed: number): Float32Array {
  const { normal } = randomFrom(seed)
  const response = Float32Array.from(
    { length: echoLength(room) },
    (_, i) => normal() * 10 ** ((-3 * i) / sampleRate / room.reverberation),
  )
  response.fill(0, 0, 0.004 * sampleRate)
  const energy = response.reduce((sum, sample) => sum + sample * sample, 0)
  const echo = 10 ** (-room.directRatio / 10)
  const scaled = response.map((sample) => sample * Math.sqrt(echo / energy / (1 + echo)))
  scaled[0] = Math.sqrt(1 / (1 + echo))
  return scaled
}

function padded(samples: Float32Array): Float64Array {
  const whole = new Float64Array(block)
  whole.set(samples)
  return whole
}

function transformed(fft: FFT, samples: Float64Array): Float64Array {
  const spectrum = new Float64Array(2 * block)
  fft.realTransform(spectrum, samples)
  fft.completeSpectrum(spectrum)
  return spectrum
}
