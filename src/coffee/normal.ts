/** Density of the standard normal distribution. */
export const normalDensity = (x: number): number => Math.exp(-(x * x) / 2) / Math.sqrt(2 * Math.PI)

const numerator = [
  3.52624965998911e-2, 0.700383064443688, 6.37396220353165, 33.912866078383, 112.079291497871,
  221.213596169931, 220.206867912376,
]
const denominator = [
  8.83883476483184e-2, 1.75566716318264, 16.064177579207, 86.7807322029461, 296.564248779674,
  637.333633378831, 793.826512519948, 440.413735824752,
]
const polynomial = (coefficients: readonly number[], x: number): number =>
  coefficients.reduce((sum, coefficient) => sum * x + coefficient, 0)

/**
 * Chance that a standard normal value lies below `x`, right to 14 decimal places.
 * Source: J. F. Hart, Computer Approximations (1968), algorithm 5666, as given by G. West, "Better approximations
 * to cumulative normal functions" (Wilmott, 2005).
 */
export function normalBelow(x: number): number {
  const size = Math.abs(x)
  if (size > 37) return x > 0 ? 1 : 0
  const bell = Math.exp(-(size * size) / 2)
  const tail =
    size < 7.07106781186547
      ? (bell * polynomial(numerator, size)) / polynomial(denominator, size)
      : bell / (size + 1 / (size + 2 / (size + 3 / (size + 4 / (size + 0.65))))) / Math.sqrt(2 * Math.PI)
  return x > 0 ? 1 - tail : tail
}

/** One part of a mixture of normal distributions. */
export interface NormalPart {
  readonly weight: number
  readonly mean: number
  readonly deviation: number
}

/** Chance that a value of the mixture lies below `x`. Weights must add up to 1. */
export const mixtureBelow = (parts: readonly NormalPart[], x: number): number =>
  parts.reduce((sum, part) => sum + part.weight * normalBelow((x - part.mean) / part.deviation), 0)

/** The value below which the mixture lies with chance `chance` (0 to 1, exclusive), by bisection to 1e-4. */
export function mixtureQuantile(parts: readonly NormalPart[], chance: number): number {
  let low = Math.min(...parts.map((part) => part.mean - 10 * part.deviation))
  let high = Math.max(...parts.map((part) => part.mean + 10 * part.deviation))
  while (high - low > 1e-4) {
    const middle = (low + high) / 2
    if (mixtureBelow(parts, middle) < chance) low = middle
    else high = middle
  }
  return (low + high) / 2
}
