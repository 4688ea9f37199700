/**
 * Control charts for single measurements. Source of every formula: NIST/SEMATECH e-Handbook of Statistical Methods,
 * section 6.3.2 (individuals 6.3.2.2, CUSUM 6.3.2.3, EWMA 6.3.2.4).
 */
import { OutOfRange } from './outOfRange.ts'

/** Mean range of two standard normal values: 2 / sqrt(pi), tabled as 1.128. */
const rangeOfTwo = 1.128
/** Upper limit of a range of two over its mean, tabled. */
const rangeLimitOfTwo = 3.267

export interface IndividualsChart {
  readonly centre: number
  readonly lower: number
  readonly upper: number
  /** mean of the moving ranges, and the limit for one of them */
  readonly meanRange: number
  readonly rangeUpper: number
}

/** Limits of an individuals and moving-range chart from at least two measurements. @throws OutOfRange */
export function individualsChart(values: readonly number[]): IndividualsChart {
  if (values.length < 2) throw new OutOfRange('number of measurements', values.length, 2, Infinity, '')
  const bad = values.find((value) => !Number.isFinite(value))
  if (bad !== undefined) throw new OutOfRange('measurement', bad, -Infinity, Infinity, '')
  const mean = (list: readonly number[]): number => list.reduce((sum, value) => sum + value, 0) / list.length
  const centre = mean(values)
  const meanRange = mean(values.slice(1).map((value, index) => Math.abs(value - (values[index] ?? value))))
  const reach = (3 * meanRange) / rangeOfTwo
  return {
    centre,
    lower: centre - reach,
    upper: centre + reach,
    meanRange,
    rangeUpper: rangeLimitOfTwo * meanRange,
  }
}

/** One more measurement on an exponentially weighted moving average. `weight` of the newest: 0 to 1. */
export const ewmaNext = (previous: number, value: number, weight: number): number =>
  weight * value + (1 - weight) * previous

/**
 * Standard deviation of an EWMA over that of one measurement, after `count` measurements; when it has run long if
 * `count` is left out.
 */
export const ewmaDeviation = (weight: number, count = Infinity): number =>
  Math.sqrt((weight / (2 - weight)) * (1 - (1 - weight) ** (2 * count)))

/** The two sums of a tabular CUSUM. Both start at 0. */
export interface Cusum {
  readonly high: number
  readonly low: number
}

/** One more measurement on a tabular CUSUM; `allowance` is the handbook's k, in the unit of the measurement. */
export const cusumNext = (sums: Cusum, value: number, target: number, allowance: number): Cusum => ({
  high: Math.max(0, sums.high + value - target - allowance),
  low: Math.max(0, sums.low + target - allowance - value),
})
