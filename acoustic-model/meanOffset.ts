import type { FeatureParameters } from './sphinx/featureParameters.ts'

/** Width of a bin of the 512-point transform at 16 kHz, in hertz. Sphinx rounds its filters' edges to bins. */
const bin = 16000 / 512

const toMel = (hertz: number): number => 2595 * Math.log10(1 + hertz / 700)
const toHertz = (mel: number): number => 700 * (10 ** (mel / 2595) - 1)

/**
 * What Sphinx's cepstra have more than those of the engine, coefficient by coefficient. Sphinx gives every
 * triangular filter unit area, the engine gives it unit height; after the logarithm that is a constant a
 * filter, after the cosine transform and liftering a constant a coefficient.
 */
export function meanOffset(features: FeatureParameters): number[] {
  const { filters, lifter, initialMean } = features
  const low = toMel(features.lowerFrequency)
  const high = toMel(features.upperFrequency)
  const edges = Array.from(
    { length: filters + 2 },
    (_, index) => Math.round(toHertz(low + ((high - low) * index) / (filters + 1)) / bin) * bin,
  )
  const heights = Array.from({ length: filters }, (_, index) =>
    Math.log(2 / ((edges[index + 2] ?? 0) - (edges[index] ?? 0))),
  )
  return initialMean.map((_, order) => {
    const scale = Math.sqrt((order === 0 ? 1 : 2) / filters)
    const sum = heights.reduce(
      (total, height, index) => total + height * Math.cos((Math.PI * order * (index + 0.5)) / filters),
      0,
    )
    return (1 + (lifter / 2) * Math.sin((Math.PI * order) / lifter)) * scale * sum
  })
}

/** The mean that the engine should start from, so that it equals the one the Sphinx model starts from. */
export function engineInitialMean(features: FeatureParameters): number[] {
  const offset = meanOffset(features)
  return features.initialMean.map((mean, order) => mean - (offset[order] ?? 0))
}
