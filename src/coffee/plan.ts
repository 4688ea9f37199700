import { normalBelow } from './normal.ts'

/** What is aimed at by one kind of order and hand: the window in ln(time), moved so that all share one location. */
export interface Target {
  /** of the orders; all add up to 1 */
  readonly share: number
  readonly opens: number
  readonly closes: number
  /** variance by which its place against the others is not known */
  readonly variance: number
}

/** Where the next shot is expected and how it answers to the grind: one Gaussian of two values. */
export interface Standing {
  /** ln(time) expected at the present notch, and its variance without scatter */
  readonly mean: number
  readonly variance: number
  /** per notch finer */
  readonly slope: number
  readonly slopeVariance: number
  readonly covariance: number
  /** shot-to-shot variance */
  readonly noise: number
}

/** Nodes and weights of Gauss and Hermite's quadrature for a standard normal value, 5 points: exact to degree 9. */
const nodes = [
  { z: -2.856970013872806, weight: 0.011257411327720689 },
  { z: -1.355626179974266, weight: 0.22207592200561266 },
  { z: 0, weight: 0.5333333333333333 },
  { z: 1.355626179974266, weight: 0.22207592200561266 },
  { z: 2.856970013872806, weight: 0.011257411327720689 },
] as const

/** Chance to land with a location of this mean and variance. */
export function landing(targets: readonly Target[], mean: number, variance: number): number {
  let sum = 0
  for (const { share, opens, closes, variance: own } of targets) {
    const deviation = Math.sqrt(variance + own)
    sum += share * (normalBelow((closes - mean) / deviation) - normalBelow((opens - mean) / deviation))
  }
  return sum
}

/** A standing as it is after a move and a shot that came out `z` standard deviations slower than expected. */
function afterShot(from: Standing, move: number, z: number): Standing {
  const { mean, variance, slope, slopeVariance, covariance, noise } = from
  const spread = variance + covariance * move
  const slopeSpread = covariance + slopeVariance * move
  const total = spread + slopeSpread * move + noise
  const pull = z / Math.sqrt(total)
  return {
    mean: mean + spread * pull,
    variance: variance - (spread * spread) / total,
    slope: slope + slopeSpread * pull,
    slopeVariance: slopeVariance - (slopeSpread * slopeSpread) / total,
    covariance: covariance - (spread * slopeSpread) / total,
    noise,
  }
}

const varianceAt = ({ variance, covariance, slopeVariance }: Standing, move: number): number =>
  variance + 2 * covariance * move + slopeVariance * move * move

export interface PlanPrices {
  /** of a move, in misses: 0.2 is a fifth of a shot that misses */
  readonly move: number
  /** shots that are still to come at the setting that is then chosen */
  readonly horizon: number
  /** longest step the rule of the house allows at a time, notches */
  readonly longest: number
}

/**
 * What is to be gained after a move by looking one shot ahead: over what that shot may show, the best that can then be
 * done for the shots to come. In shots that land, less what moves cost. Looking ahead this way is stochastic dynamic
 * programming cut off after one stage (limited lookahead: Bertsekas, Dynamic Programming and Optimal Control,
 * chapter 6), by quadrature over the shot's time.
 */
export function worthAfter(
  standing: Standing,
  targets: readonly Target[],
  move: number,
  aim: number,
  { move: price, horizon, longest }: PlanPrices,
): number {
  let worth = 0
  for (const { z, weight } of nodes) {
    const then = afterShot(standing, move, z)
    const slope = Math.max(then.slope, 0.02)
    const nearest = Math.round((aim - then.mean) / slope)
    let best = -Infinity
    for (const place of [move, nearest - 1, nearest, nearest + 1]) {
      if (Math.abs(place - move) > 25) continue
      const steps = Math.ceil(Math.abs(place - move) / longest)
      const chance = landing(targets, then.mean + then.slope * place, varianceAt(then, place) + then.noise)
      best = Math.max(best, (horizon - Math.max(0, steps - 1)) * chance - price * steps)
    }
    worth += weight * best
  }
  return worth
}
