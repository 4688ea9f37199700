import { normalBelow, normalDensity } from './normal.ts'

/** Mean and covariance of a Gaussian; the covariance row by row in one list, so that it is quick. A plain value. */
export interface Gaussian {
  readonly mean: readonly number[]
  readonly covariance: readonly number[]
}

const at = (values: readonly number[], index: number): number => values[index] ?? 0

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0
  for (let index = 0; index < a.length; index += 1) sum += at(a, index) * at(b, index)
  return sum
}

/** covariance x weights */
function spreadOf({ mean, covariance }: Gaussian, weights: readonly number[]): number[] {
  const size = mean.length
  const spread = new Array<number>(size).fill(0)
  for (let row = 0; row < size; row += 1) {
    let sum = 0
    for (let column = 0; column < size; column += 1)
      sum += at(covariance, row * size + column) * at(weights, column)
    spread[row] = sum
  }
  return spread
}

interface Prior {
  readonly mean: number
  readonly deviation: number
}

/** A Gaussian of independent values, from their means and standard deviations. */
export const independent = (parts: readonly Prior[]): Gaussian => grow({ mean: [], covariance: [] }, parts)

/** The Gaussian with more values at its end, independent of the others. */
export function grow({ mean, covariance }: Gaussian, parts: readonly Prior[]): Gaussian {
  const old = mean.length
  const size = old + parts.length
  const wider = new Array<number>(size * size).fill(0)
  for (let row = 0; row < old; row += 1)
    for (let column = 0; column < old; column += 1)
      wider[row * size + column] = at(covariance, row * old + column)
  parts.forEach(({ deviation }, index) => (wider[(old + index) * (size + 1)] = deviation ** 2))
  return { mean: [...mean, ...parts.map((part) => part.mean)], covariance: wider }
}

/** The same Gaussian with more variance in some of its values. */
export function withNoise(gaussian: Gaussian, variances: Readonly<Record<number, number>>): Gaussian {
  const size = gaussian.mean.length
  const covariance = [...gaussian.covariance]
  for (const [index, variance] of Object.entries(variances)) {
    const place = Number(index) * (size + 1)
    covariance[place] = at(covariance, place) + variance
  }
  return { mean: gaussian.mean, covariance }
}

/**
 * The Gaussian after a linear change of one value: value[index] becomes keep x value[index] + share x value[other],
 * plus noise of variance `noise`.
 */
export function blend(
  { mean, covariance }: Gaussian,
  index: number,
  change: { readonly keep: number; readonly other: number; readonly share: number; readonly noise: number },
): Gaussian {
  const size = mean.length
  const { keep, other, share, noise } = change
  const next = [...covariance]
  for (let column = 0; column < size; column += 1)
    next[index * size + column] =
      keep * at(next, index * size + column) + share * at(next, other * size + column)
  for (let row = 0; row < size; row += 1)
    next[row * size + index] = keep * at(next, row * size + index) + share * at(next, row * size + other)
  const place = index * (size + 1)
  next[place] = at(next, place) + noise
  return {
    mean: mean.map((value, row) => (row === index ? keep * value + share * at(mean, other) : value)),
    covariance: next,
  }
}

/** Mean and variance of the weighted sum of the values. */
export function project(gaussian: Gaussian, weights: readonly number[]): { mean: number; variance: number } {
  return { mean: dot(weights, gaussian.mean), variance: dot(weights, spreadOf(gaussian, weights)) }
}

/** Covariance of one value with the weighted sum of the values. */
export function covarianceWith(gaussian: Gaussian, index: number, weights: readonly number[]): number {
  const size = gaussian.mean.length
  let sum = 0
  for (let column = 0; column < size; column += 1)
    sum += at(gaussian.covariance, index * size + column) * at(weights, column)
  return sum
}

/** One way in which a measurement can have come about. */
export interface Way {
  /** chance of it before the measurement was seen */
  readonly chance: number
  /** measured = weights . values + shift + noise */
  readonly weights: readonly number[]
  readonly shift: number
  /** variance of the noise */
  readonly noise: number
  /** variance added to one of the values first, if any */
  readonly jump?: { readonly index: number; readonly variance: number }
}

/**
 * The exact update by one measurement, in the Joseph form, which stays right to the last digits however wide the
 * prior is.
 */
function absorbOne(gaussian: Gaussian, measured: number, { chance, weights, shift, noise }: Way) {
  const size = gaussian.mean.length
  const spread = spreadOf(gaussian, weights)
  const variance = dot(weights, spread) + noise
  const gain = spread.map((value) => value / variance)
  const innovation = measured - dot(weights, gaussian.mean) - shift
  // (I - gain weights) P (I - gain weights)' + gain noise gain'
  const covariance = new Array<number>(size * size).fill(0)
  for (let row = 0; row < size; row += 1) {
    const half = gaussian.mean.map(
      (_, column) => at(gaussian.covariance, row * size + column) - at(gain, row) * at(spread, column),
    )
    const across = dot(half, weights)
    for (let column = 0; column < size; column += 1)
      covariance[row * size + column] =
        at(half, column) - across * at(gain, column) + at(gain, row) * noise * at(gain, column)
  }
  for (let row = 0; row < size; row += 1)
    for (let column = 0; column < row; column += 1) {
      const even = (at(covariance, row * size + column) + at(covariance, column * size + row)) / 2
      covariance[row * size + column] = even
      covariance[column * size + row] = even
    }
  const deviation = Math.sqrt(variance)
  return {
    state: { mean: gaussian.mean.map((value, index) => value + at(gain, index) * innovation), covariance },
    likelihood: chance * Math.max(normalDensity(innovation / deviation) / deviation, 1e-100),
  }
}

/**
 * What is known after `measured` was seen, when it may have come about in several ways: the Kalman update for each,
 * weighted by how well it explains the measurement, as one Gaussian with the mean and covariance of that mixture.
 * With one way it is the exact update; with no process noise and a wide prior, ordinary least squares, a line of
 * data at a time. `likelihood` is the density of the measurement, `chances` those of the ways once it was seen.
 */
export function absorb(
  gaussian: Gaussian,
  measured: number,
  ways: readonly Way[],
): { state: Gaussian; likelihood: number; chances: readonly number[] } {
  const [only] = ways
  if (only && ways.length === 1) return { ...absorbOne(gaussian, measured, only), chances: [1] }
  const size = gaussian.mean.length
  let lastWeights: readonly number[] | null = null
  let lastSpread: readonly number[] = []
  const open = ways.map((way) => {
    if (way.weights !== lastWeights) {
      lastSpread = spreadOf(gaussian, way.weights)
      lastWeights = way.weights
    }
    const { jump } = way
    const share = jump ? at(way.weights, jump.index) : 0
    const spread = jump
      ? lastSpread.map((value, row) => (row === jump.index ? value + share * jump.variance : value))
      : lastSpread
    const variance = dot(way.weights, spread) + way.noise
    const innovation = measured - dot(way.weights, gaussian.mean) - way.shift
    const deviation = Math.sqrt(variance)
    // the floor keeps a measurement that nothing explains from making every way impossible
    const likelihood = way.chance * Math.max(normalDensity(innovation / deviation) / deviation, 1e-100)
    return { way, spread, variance, innovation, likelihood }
  })
  const likelihood = open.reduce((sum, each) => sum + each.likelihood, 0)
  const chances = open.map((each) => each.likelihood / likelihood)

  const shift = new Array<number>(size).fill(0)
  open.forEach(({ spread, variance, innovation }, index) => {
    const pull = (at(chances, index) * innovation) / variance
    for (let row = 0; row < size; row += 1) shift[row] = at(shift, row) + pull * at(spread, row)
  })
  const covariance = [...gaussian.covariance]
  open.forEach(({ way, spread, variance, innovation }, index) => {
    const chance = at(chances, index)
    // each way narrows what is known along its own spread, and lies off the common mean along it
    const factor = chance * ((innovation / variance) ** 2 - 1 / variance)
    for (let row = 0; row < size; row += 1) {
      const scaled = factor * at(spread, row)
      for (let column = 0; column < size; column += 1) {
        const place = row * size + column
        covariance[place] = at(covariance, place) + scaled * at(spread, column)
      }
    }
    if (way.jump) {
      const place = way.jump.index * (size + 1)
      covariance[place] = at(covariance, place) + chance * way.jump.variance
    }
  })
  for (let row = 0; row < size; row += 1)
    for (let column = 0; column < size; column += 1) {
      const place = row * size + column
      covariance[place] = at(covariance, place) - at(shift, row) * at(shift, column)
    }
  return {
    state: { mean: gaussian.mean.map((value, index) => value + at(shift, index)), covariance },
    likelihood,
    chances,
  }
}

/** One Gaussian with the mean and covariance of a mixture. Weights must add up to 1. */
export function merge(parts: readonly { weight: number; gaussian: Gaussian }[]): Gaussian {
  const size = parts[0]?.gaussian.mean.length ?? 0
  const mean = new Array<number>(size).fill(0)
  for (const { weight, gaussian } of parts)
    for (let row = 0; row < size; row += 1) mean[row] = at(mean, row) + weight * at(gaussian.mean, row)
  const covariance = new Array<number>(size * size).fill(0)
  for (const { weight, gaussian } of parts)
    for (let row = 0; row < size; row += 1)
      for (let column = 0; column < size; column += 1) {
        const place = row * size + column
        const away = (at(gaussian.mean, row) - at(mean, row)) * (at(gaussian.mean, column) - at(mean, column))
        covariance[place] = at(covariance, place) + weight * (at(gaussian.covariance, place) + away)
      }
  return { mean, covariance }
}

/**
 * The Gaussian with the mean and covariance of `gaussian` cut off below `floor` in one value.
 * Moments of the truncated normal: Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1 (1994),
 * section 13.10.1; the other values follow by regression on the cut one.
 */
export function cutBelow(gaussian: Gaussian, index: number, floor: number): Gaussian {
  const size = gaussian.mean.length
  const mean = at(gaussian.mean, index)
  const variance = at(gaussian.covariance, index * (size + 1))
  const deviation = Math.sqrt(variance)
  const edge = (floor - mean) / deviation
  // below one in ten thousand the cut changes nothing that matters
  if (!(deviation > 0) || edge < -3.7) return gaussian
  const hazard = normalDensity(edge) / normalBelow(-edge)
  const shift = hazard * deviation
  const shrink = hazard * (hazard - edge)
  const column = gaussian.mean.map((_, row) => at(gaussian.covariance, row * size + index))
  return {
    mean: gaussian.mean.map((value, row) => value + (at(column, row) / variance) * shift),
    covariance: gaussian.covariance.map(
      (value, place) =>
        value - (at(column, Math.floor(place / size)) * at(column, place % size) * shrink) / variance,
    ),
  }
}
