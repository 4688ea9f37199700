import { ByteReader } from './byteReader.ts'
import type { Gaussians } from './gaussians.ts'

/** Mixture weights of every senone, quantised as Sphinx keeps them. */
export interface MixtureWeights {
  senones: number
  densities: number
  streams: number
  /** in the order stream, density, senone: the negative logarithm in steps of 1024 ln 1.0001 */
  quantised: Uint8Array
}

/** One step of a quantised weight, in natural logarithm: base 1.0001, shifted by 10 bits. */
const step = 1024 * Math.log(1.0001)

/** Reads `sendump` of a phonetically tied model: strings, each with its length, then one byte a weight. */
export function readMixtureWeights(bytes: Uint8Array, { streams, densities }: Gaussians): MixtureWeights {
  const reader = new ByteReader(bytes)
  for (let length = reader.int32(); length > 0; length = reader.int32()) {
    const line = reader.ascii(length)
    if (line.startsWith('cluster_count') && !line.startsWith('cluster_count 0'))
      throw new Error('sendump: clustered mixture weights are not supported')
  }
  const rows = reader.int32()
  const senones = reader.int32()
  if (rows !== densities) throw new Error(`sendump: ${rows} densities, the means have ${densities}`)
  const quantised = bytes.subarray(reader.offset, reader.offset + streams * densities * senones)
  if (quantised.length !== streams * densities * senones) throw new Error('sendump: file is truncated')
  return { senones, densities, streams, quantised }
}

/** The weights of one senone in one stream, normalised to sum to one. */
export function mixture(of: MixtureWeights, senone: number, stream: number): Float64Array {
  const weights = new Float64Array(of.densities)
  for (let density = 0; density < of.densities; density++) {
    const level = of.quantised[(stream * of.densities + density) * of.senones + senone] ?? 255
    weights[density] = Math.exp(-step * level)
  }
  const sum = weights.reduce((total, weight) => total + weight, 0)
  return weights.map((weight) => weight / sum)
}
