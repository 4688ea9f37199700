import { gzipSync } from 'fflate'

const block = 512

/**
 * A gzipped tar archive (POSIX ustar) that depends on nothing but its files: no times, no owners, sorted
 * names.
 *
 * @param files bytes or text by path
 */
export function pack(files: ReadonlyMap<string, Uint8Array | string>): Uint8Array {
  const parts = [...files.entries()]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([path, content]) => {
      const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content
      const padded = new Uint8Array(Math.ceil(bytes.length / block) * block)
      padded.set(bytes)
      return [header(path, bytes.length), padded]
    })
  const archive = concatenate([...parts, new Uint8Array(2 * block)])
  return gzipSync(archive, { level: 9, mtime: 0 })
}

function header(path: string, size: number): Uint8Array {
  const bytes = new Uint8Array(block)
  const put = (text: string, at: number): void => bytes.set(new TextEncoder().encode(text), at)
  if (path.length > 100) throw new Error(`path too long for tar: ${path}`)
  const octal = (value: number, digits: number): string => `${value.toString(8).padStart(digits, '0')}\0`
  put(path, 0)
  put(octal(0o644, 7), 100)
  put(octal(0, 7), 108)
  put(octal(0, 7), 116)
  put(octal(size, 11), 124)
  put(octal(0, 11), 136)
  put(' '.repeat(8), 148) // the checksum counts itself as spaces
  put('0', 156)
  put('ustar\x0000', 257)
  const sum = bytes.reduce((total, byte) => total + byte, 0)
  put(`${sum.toString(8).padStart(6, '0')}\0 `, 148)
  return bytes
}

function concatenate(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((total, part) => total + part.length, 0))
  let at = 0
  for (const part of parts) {
    whole.set(part, at)
    at += part.length
  }
  return whole
}
