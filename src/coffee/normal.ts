/** Density of the standard normal distribution. */
export const normalDensity = (x: number): number => Math.exp(-(x * x) / 2) / Math.sqrt(2 * Math.PI)

/**
 * Chance that a standard normal value lies below `x`, right to 14 decimal places.
 * Source: J. F. Hart, Computer Approximations (1968), algorithm 5666, as given by G. West, "Better approximations
 * to cumulative normal functions" (Wilmott, 2005).
 */
export function normalBelow(x: number): number {
  const size = Math.abs(x)
  if (size > 37) return x > 0 ? 1 : 0
  const bell = Math.exp(-(size * size) / 2)
  // written out, not looped: the adviser spends most of its time here
  const tail =
    size < 7.07106781186547
      ? (bell *
          ((((((3.52624965998911e-2 * size + 0.700383064443688) * size + 6.37396220353165) * size +
            33.912866078383) *
            size +
            112.079291497871) *
            size +
            221.213596169931) *
            size +
            220.206867912376)) /
        (((((((8.83883476483184e-2 * size + 1.75566716318264) * size + 16.064177579207) * size +
          86.7807322029461) *
          size +
          296.564248779674) *
          size +
          637.333633378831) *
          size +
          793.826512519948) *
          size +
          440.413735824752)
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
export function mixtureBelow(parts: readonly NormalPart[], x: number): number {
  let sum = 0
  for (const { weight, mean, deviation } of parts) sum += weight * normalBelow((x - mean) / deviation)
  return sum
}

/**
 * The value below which the mixture lies with chance `chance` (0 to 1, exclusive), to 1e-4 in the chance or the value: false position
 * with Illinois's halving (Dowell and Jarratt, BIT 11, 1971), which never leaves the bracket.
 */
export function mixtureQuantile(parts: readonly NormalPart[], chance: number): number {
  let low = Math.min(...parts.map((part) => part.mean - 10 * part.deviation))
  let high = Math.max(...parts.map((part) => part.mean + 10 * part.deviation))
  const mean = parts.reduce((sum, part) => sum + part.weight * part.mean, 0)
  let belowLow = -chance
  let belowHigh = 1 - chance
  let guess = mean
  let side = 0
  for (let step = 0; step < 60 && high - low > 1e-4; step += 1) {
    const off = mixtureBelow(parts, guess) - chance
    if (Math.abs(off) < 1e-5) return guess
    if (off < 0) {
      low = guess
      belowLow = off
      if (side < 0) belowHigh /= 2
      side = -1
    } else {
      high = guess
      belowHigh = off
      if (side > 0) belowLow /= 2
      side = 1
    }
    // halves every fourth time, so that a far tail cannot hold it up
    guess = step % 4 === 3 ? (low + high) / 2 : (low * belowHigh - high * belowLow) / (belowHigh - belowLow)
  }
  return guess
}
