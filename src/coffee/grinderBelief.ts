import type { Look } from './judgement.ts'

/** Room air, when it is known. Everything works without it. */
export interface Air {
  /** degrees Celsius */
  readonly temperature: number
  /** relative humidity, percent */
  readonly humidity: number
}

/** One pull as the grinder model sees it. */
export interface ObservedShot {
  /** from pump on to pump off, seconds */
  readonly seconds: number
  /** setting of the grinder in notches; higher is finer */
  readonly notch: number
  /** when it was pulled, seconds on any clock that only goes forward (the bar clock) */
  readonly at: number
  /** whether old grounds were cleared since the grind was last moved; no matter when it was not moved */
  readonly purged: boolean
  readonly looks?: readonly Look[]
  /** grams, when weighed */
  readonly dose?: number
  /** the recipe's dose, grams; needed when `dose` is given */
  readonly recipeDose?: number
  readonly air?: Air
}

/** Mean and covariance of a Gaussian; the covariance row by row. */
export interface Gaussian {
  readonly mean: readonly number[]
  readonly covariance: readonly (readonly number[])[]
}

/**
 * What is believed of one grinder with one coffee in one recipe: a plain value to be kept in a machine's context
 * and stored as JSON. Only the functions of this room read inside.
 */
export interface GrinderBelief {
  readonly version: 1
  /** one filter for each possible scatter of the operator, with the chance that it is the true one */
  readonly bank: readonly { readonly scatter: number; readonly weight: number; readonly state: Gaussian }[]
  /** the setting the belief is centred on: that of its first shot */
  readonly origin: number | null
  /** setting of the last dose ground */
  readonly notch: number | null
  /** true while the grinder still holds grounds of another setting */
  readonly mixed: boolean
  /** recent doses, each fading with time, as of `at` */
  readonly warmth: number
  /** seconds */
  readonly at: number
  readonly air: Air | null
  /** shots learnt from since begun */
  readonly learnt: number
  /** shots learnt from at the present setting */
  readonly learntHere: number
  readonly last: LastShot | null
}

/** What was made of the last shot. */
export interface LastShot {
  readonly seconds: number
  /** ln(time) minus what was predicted, in predicted standard deviations */
  readonly surprise: number
  /** chance that it was a freak of technique (channelling) and not the grind */
  readonly faultChance: number
  readonly learntFrom: boolean
}

/** A number with its 90 % interval. */
export interface Estimate {
  readonly mean: number
  readonly low: number
  readonly high: number
}

/** What the model believes, in numbers that can be spoken. */
export interface BeliefSummary {
  /** change of a shot's time for one notch finer, percent */
  readonly notchPercent: Estimate
  /** change of a shot's time from a cold to a busy grinder, percent */
  readonly heatPercent: Estimate
  /** drift since the day began, percent; positive is slower */
  readonly driftPercent: Estimate
  /** shot-to-shot scatter at one setting, percent */
  readonly scatterPercent: number
  readonly shots: number
}

/** A belief about a grinder nothing is known of. `at`: now, seconds. */
export function beginBelief(_at: number): GrinderBelief {
  throw new Error('being written')
}

/** The belief after one more shot. Does not learn from a dose that still holds the old grind.
 * @throws OutOfRange for an impossible time, notch or dose, or a shot earlier than the last */
export function observeShot(_belief: GrinderBelief, _shot: ObservedShot): GrinderBelief {
  throw new Error('being written')
}

/** The belief after the grinder was purged at a setting. */
export function observePurge(_belief: GrinderBelief, _purge: { notch: number; at: number }): GrinderBelief {
  throw new Error('being written')
}

/** The belief at a new bag or on a new day: what the grinder does is kept, where it stands is less sure. */
export function carryOver(_belief: GrinderBelief, _to: 'new bag' | 'new day', _at: number): GrinderBelief {
  throw new Error('being written')
}

/** What it believes of notch, heat, drift and scatter. */
export function summarise(_belief: GrinderBelief): BeliefSummary {
  throw new Error('being written')
}

/** Whether recent times at one setting agree with each other. */
export function steadiness(_belief: GrinderBelief): 'steady' | 'scattered' | 'unknown' {
  throw new Error('being written')
}
