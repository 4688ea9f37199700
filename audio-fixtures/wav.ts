import { joined } from './bytes.ts'

/** Samples a second of every fixture. */
export const sampleRate = 16000

/** Samples in -1..1 as 16-bit integers; what lies outside is an error, since a clipped fixture is a wrong one. */
export function toPcm16(samples: Float32Array): Int16Array<ArrayBuffer> {
  return Int16Array.from(samples, (sample, at) => {
    if (!(Math.abs(sample) <= 1)) throw new RangeError(`sample ${at} is ${sample}, outside -1..1`)
    return Math.round(sample * 32767)
  })
}

/** A mono 16-bit PCM WAV file (RIFF, as Chromium's file microphone reads it). */
export function encodeWav(samples: Float32Array): Uint8Array<ArrayBuffer> {
  const pcm = new Uint8Array(toPcm16(samples).buffer)
  const header = new DataView(new ArrayBuffer(44))
  const mark = (at: number, text: string) =>
    [...text].forEach((letter, i) => header.setUint8(at + i, letter.charCodeAt(0)))
  mark(0, 'RIFF')
  header.setUint32(4, 36 + pcm.length, true)
  mark(8, 'WAVEfmt ')
  header.setUint32(16, 16, true)
  header.setUint16(20, 1, true) // PCM
  header.setUint16(22, 1, true) // channels
  header.setUint32(24, sampleRate, true)
  header.setUint32(28, sampleRate * 2, true)
  header.setUint16(32, 2, true)
  header.setUint16(34, 16, true)
  mark(36, 'data')
  header.setUint32(40, pcm.length, true)
  return joined([new Uint8Array(header.buffer), pcm])
}
