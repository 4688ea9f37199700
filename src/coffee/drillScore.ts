import { timeBand } from './judgement.ts'
import { inRange, OutOfRange, wholeInRange } from './outOfRange.ts'
import type { Window } from './recipe.ts'
import { commonTampPounds } from './tamp.ts'
import { newtonsToPoundsForce, poundsForceToNewtons } from './units.ts'

/** How a trainee did: the score, whether it is enough, and a sentence with its numbers. */
export interface DrillScore {
  readonly score: number
  readonly unit: 'percent' | 'seconds' | 'shots'
  readonly passed: boolean
  readonly sentence: DrillSentence
  /** numbers of the sentence, rounded to be spoken */
  readonly values: Readonly<Record<string, number>>
}

/** Keys of grammar/<language>/sentences.json. */
export const drillSentences = [
  'score.fast.passed',
  'score.fast.failed',
  'score.slow.passed',
  'score.slow.failed',
  'score.find.passed',
  'score.find.failed',
  'score.tamp.passed',
  'score.tamp.light',
  'score.tamp.heavy',
  'score.tamp.uneven',
  'score.dose.passed',
  'score.dose.light',
  'score.dose.heavy',
  'score.dose.uneven',
  'score.taste.passed',
  'score.taste.failed',
  'score.alike.passed',
  'score.alike.failed',
  'score.sense.passed',
  'score.sense.early',
  'score.sense.late',
  'score.handoff.passed',
  'score.handoff.failed',
] as const
type DrillSentence = (typeof drillSentences)[number]

/**
 * What is enough in a drill: bias and spread (standard deviation) as parts of the target. Common practice, from
 * memory; a house may ask for more.
 */
const drillLimits = {
  tamp: { bias: 0.1, spread: 0.1 },
  dose: { bias: 0.02, spread: 0.02 },
  /** spread of the times of shots at one setting */
  alike: 0.05,
  /** a span called without a clock */
  timeSense: 0.1,
  /** fewest in a series that says anything of spread */
  series: 3,
  findShots: 6,
  /** chance of guessing so many cups right or more, at most */
  guessing: 0.1,
} as const

/** A shot made fast on purpose: passed when it ends before the window opens. @throws OutOfRange */
export function scoreFastShot(seconds: number, window: Window): DrillScore {
  const band = timeBand(seconds, window)
  const passed = band === 'fast' || band === 'far too fast'
  return oneShot(seconds, passed, passed ? 'score.fast.passed' : 'score.fast.failed')
}

/** A shot made slow on purpose: passed when it ends after the window closes. @throws OutOfRange */
export function scoreSlowShot(seconds: number, window: Window): DrillScore {
  const band = timeBand(seconds, window)
  const passed = band === 'slow' || band === 'far too slow'
  return oneShot(seconds, passed, passed ? 'score.slow.passed' : 'score.slow.failed')
}

const oneShot = (seconds: number, passed: boolean, sentence: DrillSentence): DrillScore => ({
  score: seconds,
  unit: 'seconds',
  passed,
  sentence,
  values: { seconds: Math.round(seconds) },
})

/**
 * Finding the window: times of the shots in order, in seconds. Passed when one of the first `most` shots lands.
 * @throws OutOfRange
 */
export function scoreFindWindow(
  times: readonly number[],
  window: Window,
  most: number = drillLimits.findShots,
): DrillScore {
  wholeInRange('number of shots', times.length, 1, 1000, 'shots')
  wholeInRange('most shots', most, 1, 1000, 'shots')
  const first = times.findIndex((seconds) => timeBand(seconds, window) === 'in window')
  const passed = first >= 0 && first < most
  const shots = first < 0 ? times.length : first + 1
  return {
    score: shots,
    unit: 'shots',
    passed,
    sentence: passed ? 'score.find.passed' : 'score.find.failed',
    values: { shots, most },
  }
}

/** Mean and standard deviation of a series. */
function seriesOf(what: string, values: readonly number[], low: number, high: number, unit: string) {
  if (values.length < drillLimits.series)
    throw new OutOfRange(`number of ${what}s`, values.length, drillLimits.series, Infinity, '')
  for (const value of values) inRange(what, value, low, high, unit)
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, spread: Math.sqrt(squares / (values.length - 1)) }
}

/** How far from its target a series lies, and how even it is, as parts of the target. */
function gradeSeries(mean: number, spread: number, target: number, limits: { bias: number; spread: number }) {
  const bias = (mean - target) / target
  const part = spread / target
  const verdict =
    Math.abs(bias) > limits.bias ? (bias < 0 ? 'light' : 'heavy') : part > limits.spread ? 'uneven' : 'passed'
  // one number that falls to 0 when bias or spread is four times too much
  const worst = Math.max(Math.abs(bias) / limits.bias, part / limits.spread)
  return { verdict, score: Math.max(0, Math.round(100 * (1 - worst / 4))) } as const
}

const tenth = (value: number): number => Math.round(10 * value) / 10

/**
 * A series of tamps on a scale, newtons each: bias against the target, and spread. Sentences say pounds.
 * @throws OutOfRange
 */
export function scoreTamps(
  newtons: readonly number[],
  target: number = poundsForceToNewtons(commonTampPounds),
): DrillScore {
  inRange('target force', target, 10, 1000, 'newtons')
  const { mean, spread } = seriesOf('tamp', newtons, 0, 1000, 'newtons')
  const { verdict, score } = gradeSeries(mean, spread, target, drillLimits.tamp)
  return {
    score,
    unit: 'percent',
    passed: verdict === 'passed',
    sentence: `score.tamp.${verdict}`,
    values: {
      mean: Math.round(newtonsToPoundsForce(mean)),
      spread: tenth(newtonsToPoundsForce(spread)),
      target: Math.round(newtonsToPoundsForce(target)),
    },
  }
}

/** A series of doses, grams each, against the recipe's. @throws OutOfRange */
export function scoreDoses(grams: readonly number[], target: number): DrillScore {
  inRange('target dose', target, 5, 40, 'grams')
  const { mean, spread } = seriesOf('dose', grams, 0, 100, 'grams')
  const { verdict, score } = gradeSeries(mean, spread, target, drillLimits.dose)
  return {
    score,
    unit: 'percent',
    passed: verdict === 'passed',
    sentence: `score.dose.${verdict}`,
    values: { mean: tenth(mean), spread: tenth(spread), target: tenth(target) },
  }
}

/**
 * Blind tasting of fresh against rested cups: passed when guessing would seldom do as well, by the binomial
 * distribution with an even chance. @throws OutOfRange
 */
export function scoreTasting(right: number, cups: number): DrillScore {
  wholeInRange('number of cups', cups, 1, 100, 'cups')
  wholeInRange('number right', right, 0, cups, 'cups')
  const passed = chanceByGuessing(right, cups) <= drillLimits.guessing
  return {
    score: Math.round((100 * right) / cups),
    unit: 'percent',
    passed,
    sentence: passed ? 'score.taste.passed' : 'score.taste.failed',
    values: { right, cups },
  }
}

/** Chance that coin tosses name `right` or more of `cups` rightly. */
export function chanceByGuessing(right: number, cups: number): number {
  let ways = 1
  let sum = 0
  for (let count = cups; count >= right; count -= 1) {
    sum += ways
    ways = (ways * count) / (cups - count + 1)
  }
  return sum / 2 ** cups
}

/**
 * Shots at one setting, seconds each: their spread as a part of their mean. @throws OutOfRange
 */
export function scoreConsistency(times: readonly number[]): DrillScore {
  const { mean, spread } = seriesOf('time', times, 1, 300, 'seconds')
  const part = spread / mean
  const passed = part <= drillLimits.alike
  return {
    score: Math.round(1000 * part) / 10,
    unit: 'percent',
    passed,
    sentence: passed ? 'score.alike.passed' : 'score.alike.failed',
    values: { mean: tenth(mean), spread: tenth(spread) },
  }
}

/** A span of time called without a clock, in seconds, against its target. @throws OutOfRange */
export function scoreTimeSense(seconds: number, target: number): DrillScore {
  inRange('time called', seconds, 0, 300, 'seconds')
  inRange('time to be called', target, 1, 300, 'seconds')
  const error = seconds - target
  const passed = Math.abs(error) <= drillLimits.timeSense * target
  return {
    score: tenth(Math.abs(error)),
    unit: 'seconds',
    passed,
    sentence: passed ? 'score.sense.passed' : error < 0 ? 'score.sense.early' : 'score.sense.late',
    values: { seconds: tenth(seconds), off: tenth(Math.abs(error)) },
  }
}

/** Cups handed off in time, out of so many. Passed when none expired. @throws OutOfRange */
export function scoreHandOffs(served: number, cups: number): DrillScore {
  wholeInRange('number of cups', cups, 1, 100, 'cups')
  wholeInRange('cups served in time', served, 0, cups, 'cups')
  const passed = served === cups
  return {
    score: Math.round((100 * served) / cups),
    unit: 'percent',
    passed,
    sentence: passed ? 'score.handoff.passed' : 'score.handoff.failed',
    values: { served, cups },
  }
}
