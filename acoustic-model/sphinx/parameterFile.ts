import { ByteReader } from './byteReader.ts'

/**
 * Opens a Sphinx-3 parameter file (means, variances, transition matrices): a text header that ends with
 * `endhdr`, then a word that shows the byte order, then data.
 *
 * @returns a reader at the first byte of data
 * @throws Error when the header is missing or the data is big-endian
 */
export function openParameterFile(bytes: Uint8Array, name: string): ByteReader {
  const marker = 'endhdr\n'
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 4096))
  const at = head.indexOf(marker)
  if (!head.startsWith('s3\n') || at < 0) throw new Error(`${name}: not a Sphinx-3 parameter file`)
  const reader = new ByteReader(bytes, at + marker.length)
  if (reader.uint32() !== 0x11223344) throw new Error(`${name}: only little-endian files are read`)
  return reader
}
