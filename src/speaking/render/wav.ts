/**
 * Reads a WAV file of one channel of 16-bit samples, as synthesisers write it.
 * @throws {Error} for any other file
 */
export function decodeWav(file: Uint8Array): { samples: Float32Array; sampleRate: number } {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength)
  const name = (at: number) => String.fromCharCode(...file.subarray(at, at + 4))
  if (name(0) !== 'RIFF' || name(8) !== 'WAVE') throw new Error('not a WAV file')
  let sampleRate = 0
  for (let at = 12; at + 8 <= file.length;) {
    const chunk = name(at)
    const start = at + 8
    const length = view.getUint32(at + 4, true)
    if (chunk === 'fmt ') {
      const format = [0, 2, 14].map((offset) => view.getUint16(start + offset, true)).join(' ')
      if (format !== '1 1 16') throw new Error(`WAV of coding, channels, bits ${format}: 1 1 16 is read`)
      sampleRate = view.getUint32(start + 4, true)
    }
    if (chunk === 'data') {
      const count = Math.floor(Math.min(length, file.length - start) / 2)
      const samples = Float32Array.from(
        { length: count },
        (_, index) => view.getInt16(start + 2 * index, true) / 32768,
      )
      return { samples, sampleRate }
    }
    at = start + length + (length % 2)
  }
  throw new Error('the WAV file has no samples')
}
