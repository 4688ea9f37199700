import { openParameterFile } from './parameterFile.ts'

/** Means or variances of a set of codebooks, each with the same number of Gaussians in every stream. */
export interface Gaussians {
  codebooks: number
  streams: number
  /** Gaussians of one codebook in one stream */
  densities: number
  /** coefficients of one stream */
  dimension: number
  /** in the order codebook, stream, density, coefficient */
  values: Float32Array
}

/** Reads `means` or `variances` of a Sphinx-3 model. */
export function readGaussians(bytes: Uint8Array, name: string): Gaussians {
  const reader = openParameterFile(bytes, name)
  const codebooks = reader.int32()
  const streams = reader.int32()
  const densities = reader.int32()
  const lengths = reader.int32s(streams)
  const dimension = lengths[0] ?? 0
  if (lengths.some((length) => length !== dimension))
    throw new Error(`${name}: streams of unequal length (${lengths.join(', ')}) are not supported`)
  const count = reader.int32()
  if (count !== codebooks * streams * densities * dimension)
    throw new Error(`${name}: holds ${count} values, its header promises another number`)
  return { codebooks, streams, densities, dimension, values: reader.float32s(count) }
}

/** The coefficients of one Gaussian. */
export function coefficients(of: Gaussians, codebook: number, stream: number, density: number): Float32Array {
  const start = ((codebook * of.streams + stream) * of.densities + density) * of.dimension
  return of.values.subarray(start, start + of.dimension)
}
