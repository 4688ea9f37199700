import { normalBelow, normalDensity } from './normal.ts'

/** Mean and covariance of a Gaussian; the covariance row by row. A plain value. */
export interface Gaussian {
  readonly mean: readonly number[]
  readonly covariance: readonly (readonly number[])[]
}

const at = (values: readonly number[], index: number): number => values[index] ?? 0

/** A plain loop: the adviser spends most of its time here. */
function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0
  for (let index = 0; index < a.length; index += 1) sum += at(a, index) * at(b, index)
  return sum
}

/** A Gaussian of independent values, from their means and standard deviations. */
export const independent = (parts: readonly { mean: number; deviation: number }[]): Gaussian => ({
  mean: parts.map((part) => part.mean),
  covariance: parts.map((part, row) => parts.map((_, column) => (row === column ? part.deviation ** 2 : 0))),
})

/** The same Gaussian with more variance in some of its values. */
export const withNoise = (gaussian: Gaussian, variances: Readonly<Record<number, number>>): Gaussian => ({
  mean: gaussian.mean,
  covariance: gaussian.covariance.map((row, i) =>
    row.map((value, j) => (i === j ? value + (variances[i] ?? 0) : value)),
  ),
})

/** Mean and variance of the weighted sum of the values. */
export function project(gaussian: Gaussian, weights: readonly number[]): { mean: number; variance: number } {
  let variance = 0
  for (let row = 0; row < weights.length; row += 1) {
    const weight = at(weights, row)
    if (weight !== 0) variance += weight * dot(gaussian.covariance[row] ?? [], weights)
  }
  return { mean: dot(weights, gaussian.mean), variance }
}

/**
 * The Kalman measurement update: what is known after `measured` = weights . values + noise of variance `noise`
 * was seen. In the Joseph form, which keeps the covariance symmetric and positive whatever the rounding.
 * With no process noise and a wide prior it is ordinary least squares, one line of data at a time.
 */
export function condition(
  gaussian: Gaussian,
  weights: readonly number[],
  measured: number,
  noise: number,
): Gaussian {
  const spread = gaussian.covariance.map((row) => dot(row, weights))
  const variance = dot(weights, spread) + noise
  const gain = spread.map((value) => value / variance)
  const innovation = measured - dot(weights, gaussian.mean)
  // (I - gain weights) P (I - gain weights)' + gain noise gain'
  const half = gaussian.covariance.map((row, i) => row.map((value, j) => value - at(gain, i) * at(spread, j)))
  const covariance = half.map((row, i) => {
    const across = dot(row, weights)
    return row.map((value, j) => value - across * at(gain, j) + at(gain, i) * noise * at(gain, j))
  })
  return {
    mean: gaussian.mean.map((value, index) => value + at(gain, index) * innovation),
    covariance: covariance.map((row, i) => row.map((value, j) => (value + at(covariance[j] ?? [], i)) / 2)),
  }
}

/** One Gaussian with the mean and covariance of a mixture. Weights must add up to 1. */
export function merge(parts: readonly { weight: number; gaussian: Gaussian }[]): Gaussian {
  const size = parts[0]?.gaussian.mean.length ?? 0
  const mean = Array.from({ length: size }, (_, i) =>
    parts.reduce((sum, part) => sum + part.weight * at(part.gaussian.mean, i), 0),
  )
  const covariance = mean.map((_, i) =>
    mean.map((__, j) =>
      parts.reduce((sum, { weight, gaussian }) => {
        const away = (at(gaussian.mean, i) - at(mean, i)) * (at(gaussian.mean, j) - at(mean, j))
        return sum + weight * (at(gaussian.covariance[i] ?? [], j) + away)
      }, 0),
    ),
  )
  return { mean, covariance }
}

/**
 * The Gaussian with the mean and covariance of `gaussian` cut off below `floor` in one value.
 * Moments of the truncated normal: Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1 (1994),
 * section 13.10.1; the other values follow by regression on the cut one.
 */
export function cutBelow(gaussian: Gaussian, index: number, floor: number): Gaussian {
  const mean = at(gaussian.mean, index)
  const column = gaussian.covariance.map((row) => at(row, index))
  const variance = at(column, index)
  const deviation = Math.sqrt(variance)
  const edge = (floor - mean) / deviation
  // below one in ten thousand the cut changes nothing that matters
  if (!(deviation > 0) || edge < -3.7) return gaussian
  const hazard = normalDensity(edge) / normalBelow(-edge)
  const shift = hazard * deviation
  const shrink = hazard * (hazard - edge)
  return {
    mean: gaussian.mean.map((value, i) => value + (at(column, i) / variance) * shift),
    covariance: gaussian.covariance.map((row, i) =>
      row.map((value, j) => value - (at(column, i) * at(column, j) * shrink) / variance),
    ),
  }
}
