import { cusumNext, ewmaDeviation, ewmaNext, type Cusum } from './controlChart.ts'
import { inRange } from './outOfRange.ts'

/**
 * Watches the shots at one setting for a creep that is not noise: a plain value, stepped once a shot.
 *
 * Each ln(time) is compared with the mean of those before it at the same setting and divided by what that
 * difference would scatter by, which makes it a standard normal value as long as nothing creeps (a self-starting
 * chart: Hawkins, "Self-starting CUSUM charts for location and scale", The Statistician 36, 1987). These values go
 * on an EWMA and a tabular CUSUM.
 */
export interface DriftMonitor {
  readonly version: 1
  readonly notch: number | null
  /** shots counted at this setting, and the mean of their ln(time) */
  readonly count: number
  readonly mean: number
  /** mean ln(time) of the first few shots at this setting, and a running one of the latest */
  readonly start: number
  readonly latest: number
  readonly ewma: number
  readonly cusum: Cusum
  /** a far-off value is held back until the next one shows on which side it lies */
  readonly held: number
  /** the direction already warned of at this setting: a warning is given once */
  readonly warned: DriftDirection | null
}

type DriftDirection = 'slower' | 'faster'

export interface DriftShot {
  readonly seconds: number
  readonly notch: number
  /** shot-to-shot scatter of ln(time): `scatterOf(belief)` */
  readonly scatter: number
  /** chance that it was a fault of technique: `belief.last.faultChance`. A likely fault is not counted */
  readonly faultChance: number
  /** whether its dose still held the old grind: then it is not counted */
  readonly mixed: boolean
}

export interface DriftWarning {
  readonly direction: DriftDirection
  readonly sentence: 'drift.slower' | 'drift.faster'
  /** shots seen at this setting, and by how many percent the time has changed since it was set */
  readonly values: { readonly shots: number; readonly percent: number }
}

/**
 * When the charts speak. EWMA with weight 0.2 and limit 2.86, CUSUM with allowance 0.5 and limit 5: alone, each gives
 * a false alarm about once in 370 (from memory) and 465 shots (Lucas and Crosier 1982); together about one in six
 * mornings of 60 shots, as simulated. Values beyond 3, the limit of an individuals chart, are freaks unless the next
 * one lies on the same side.
 */
const driftLimits = {
  ewmaWeight: 0.2,
  ewma: 2.86,
  allowance: 0.5,
  cusum: 5,
  freak: 3,
  /** no warning before so many shots at a setting */
  fewest: 4,
  /** a creep smaller than this, in ln(time), is not worth a word */
  smallest: 0.04,
} as const

/** A monitor that has seen nothing. */
export const beginDriftMonitor = (): DriftMonitor => ({
  version: 1,
  notch: null,
  count: 0,
  mean: 0,
  start: 0,
  latest: 0,
  ewma: 0,
  cusum: { high: 0, low: 0 },
  held: 0,
  warned: null,
})

/** One more shot. A move of the grind starts it afresh. @throws OutOfRange */
export function watchDrift(
  monitor: DriftMonitor,
  shot: DriftShot,
): { monitor: DriftMonitor; warning: DriftWarning | null } {
  inRange('time of the shot', shot.seconds, 1, 180, 'seconds')
  inRange('notch', shot.notch, -1000, 1000, '')
  inRange('scatter of ln(time)', shot.scatter, 0.001, 1, '')
  inRange('chance of a fault', shot.faultChance, 0, 1, '')
  const here = monitor.notch === shot.notch ? monitor : { ...beginDriftMonitor(), notch: shot.notch }
  if (shot.mixed || shot.faultChance > 0.5) return { monitor: here, warning: null }

  const { count, mean } = here
  const logTime = Math.log(shot.seconds)
  const value = count === 0 ? 0 : (logTime - mean) / (shot.scatter * Math.sqrt(1 + 1 / count))
  const freak = Math.abs(value) > driftLimits.freak
  if (freak && Math.sign(value) !== Math.sign(here.held))
    return { monitor: { ...here, held: value }, warning: null }

  const next: DriftMonitor = {
    ...here,
    count: count + 1,
    mean: mean + (logTime - mean) / (count + 1),
    start: count < 3 ? here.start + (logTime - here.start) / (count + 1) : here.start,
    latest: count === 0 ? logTime : ewmaNext(here.latest, logTime, 0.4),
    ewma: ewmaNext(here.ewma, value, driftLimits.ewmaWeight),
    cusum: cusumNext(here.cusum, value, 0, driftLimits.allowance),
    held: 0,
  }
  const direction = signal(next)
  if (direction === null || direction === here.warned) return { monitor: next, warning: null }
  const creep = next.latest - next.start
  return {
    monitor: { ...next, warned: direction, ewma: 0, cusum: { high: 0, low: 0 } },
    warning: {
      direction,
      sentence: direction === 'slower' ? 'drift.slower' : 'drift.faster',
      values: { shots: next.count, percent: Math.round(100 * Math.expm1(Math.abs(creep))) },
    },
  }
}

/** The direction in which the charts show a creep worth a word, if any. */
function signal({ count, ewma, cusum, latest, start }: DriftMonitor): DriftDirection | null {
  if (count < driftLimits.fewest) return null
  const limit = driftLimits.ewma * ewmaDeviation(driftLimits.ewmaWeight)
  const creep = latest - start
  if ((ewma > limit || cusum.high > driftLimits.cusum) && creep > driftLimits.smallest) return 'slower'
  if ((ewma < -limit || cusum.low > driftLimits.cusum) && creep < -driftLimits.smallest) return 'faster'
  return null
}
