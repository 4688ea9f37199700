import { gzipSync } from 'fflate'
import { createTar } from 'nanotar'

/** Of every file, so that the archive depends on nothing but its files. */
const attrs = { mode: '644', uid: 0, gid: 0, mtime: 0 }

/**
 * A gzipped tar archive that is the same for the same files: no times, no owners, sorted names.
 *
 * @param files bytes or text by path
 */
export function pack(files: ReadonlyMap<string, Uint8Array | string>): Uint8Array {
  const sorted = [...files].sort(([a], [b]) => (a < b ? -1 : 1))
  const archive = createTar(sorted.map(([name, data]) => ({ name, data, attrs })))
  return gzipSync(archive, { level: 9, mtime: 0 })
}
