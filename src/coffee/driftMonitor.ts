import { inRange } from './outOfRange.ts'

/**
 * Watches the shots of one grinder and coffee for a creep that is not noise: a plain value, stepped once a shot.
 *
 * What is known to move a time (the notch, the recipe, the hand) is taken out first, so that a move of one notch does not
 * hide a creep. A straight line is fitted to the ln(time) of the shots so far by least squares. Shots pulled one after
 * another go together, so the error of its slope allows for their correlation: it is estimated from the line's
 * residuals, drawn towards an ordinary one while they are few, and widens the error as for a first-order
 * autoregression (Box, Jenkins and Reinsel, Time Series Analysis, chapter 3).
 */
export interface DriftMonitor {
  readonly version: 2
  readonly notch: number | null
  /** what the notch, recipe and hand did to ln(time) in the last shot */
  readonly effects: number
  /** ln(time) of the shots counted, without those effects, oldest first */
  readonly values: readonly number[]
  /** a far-off value is held back until the next one shows on which side it lies */
  readonly held: number
  /** the direction already warned of: a warning is given once */
  readonly warned: DriftDirection | null
}

type DriftDirection = 'slower' | 'faster'

export interface DriftShot {
  readonly seconds: number
  readonly notch: number
  /** what is known to have moved ln(time): `belief.last.effects`; a move starts afresh when it is left out */
  readonly effects?: number
  /** shot-to-shot scatter of ln(time): `scatterOf(belief)` */
  readonly scatter: number
  /** chance that it was a freak: `belief.last.faultChance`. A likely freak is not counted */
  readonly faultChance: number
  /** whether its dose still held the old grind: then it is not counted */
  readonly mixed: boolean
  /** whether the grind is moved after this shot: then the move and its reason are all that is said */
  readonly moving?: boolean
}

export interface DriftWarning {
  readonly direction: DriftDirection
  readonly sentence: 'drift.slower' | 'drift.faster'
  /** shots counted, and by how many percent the time has changed over them */
  readonly values: { readonly shots: number; readonly percent: number }
}

/**
 * When it speaks. As simulated with scatters of 3 to 12 %, it warns falsely in at most 15 % of calm mornings of 60
 * shots for correlations from shot to shot up to 0.5 (`tests/unit/coffee/driftMonitor.test.ts`).
 */
const limits = {
  /** slope over its standard error */
  signal: 3.25,
  /** shots before the first warning */
  fewest: 8,
  /** most shots that the line is fitted to */
  most: 80,
  /** a creep smaller than this, in ln(time), is not worth a word */
  smallest: 0.04,
  /** part of a creep that is said: as it is noticed when noise happens to add to it, it looks too large */
  said: 0.87,
  /** values further off the line than this many scatters are freaks unless the next one lies on the same side */
  freak: 3.5,
  /** an ordinary correlation of neighbouring shots, and how many shots' worth of belief it is */
  correlation: { ordinary: 0.2, worth: 10, most: 0.75 },
  /** shots' worth of belief in the scatter that was given */
  scatterWorth: 8,
  /** a move by more than this, in ln(time), leaves too little certainty of what it did */
  largestMove: 0.2,
} as const

/** A monitor that has seen nothing. */
export const beginDriftMonitor = (): DriftMonitor => ({
  version: 2,
  notch: null,
  effects: 0,
  values: [],
  held: 0,
  warned: null,
})

/** One more shot. @throws OutOfRange */
export function watchDrift(
  monitor: DriftMonitor,
  shot: DriftShot,
): { monitor: DriftMonitor; warning: DriftWarning | null } {
  inRange('time of the shot', shot.seconds, 1, 180, 'seconds')
  inRange('notch', shot.notch, -1000, 1000, '')
  inRange('scatter of ln(time)', shot.scatter, 0.001, 1, '')
  inRange('chance of a fault', shot.faultChance, 0, 1, '')
  const { effects = 0 } = shot
  const moved = monitor.notch !== null && monitor.notch !== shot.notch
  const lost =
    moved && (shot.effects === undefined || Math.abs(effects - monitor.effects) > limits.largestMove)
  const here: DriftMonitor = {
    ...(lost ? beginDriftMonitor() : monitor),
    notch: shot.notch,
    effects,
  }
  if (shot.mixed || shot.faultChance > 0.5) return { monitor: here, warning: null }

  const value = Math.log(shot.seconds) - effects
  const before = fitLine(here.values)
  const count = here.values.length
  // one value tells little of the mean, and two of the slope
  const off =
    count === 0 ? 0 : (value - expectedNext(before, count)) / (shot.scatter * Math.sqrt(1 + 1 / count))
  if (Math.abs(off) > limits.freak && Math.sign(off) !== Math.sign(here.held))
    return { monitor: { ...here, held: off }, warning: null }

  const values = [...here.values, value].slice(-limits.most)
  const next: DriftMonitor = { ...here, values, held: 0 }
  const creep = creepOf(values, shot.scatter)
  if (creep === null) return { monitor: next, warning: null }
  const direction: DriftDirection = creep > 0 ? 'slower' : 'faster'
  if (direction === here.warned) return { monitor: next, warning: null }
  return {
    monitor: { ...next, values: [], warned: direction },
    warning: shot.moving
      ? null
      : {
          direction,
          sentence: direction === 'slower' ? 'drift.slower' : 'drift.faster',
          values: { shots: values.length, percent: Math.round(100 * Math.expm1(Math.abs(creep))) },
        },
  }
}

interface Line {
  readonly mean: number
  readonly slope: number
  /** sum of the squared distances of the places from their middle */
  readonly spread: number
}

/** The least-squares line through values at places 0, 1, 2... */
function fitLine(values: readonly number[]): Line {
  const count = values.length
  const middle = (count - 1) / 2
  let sum = 0
  let cross = 0
  values.forEach((value, place) => {
    sum += value
    cross += value * (place - middle)
  })
  const spread = (count * (count * count - 1)) / 12
  return { mean: count === 0 ? 0 : sum / count, slope: spread > 0 ? cross / spread : 0, spread }
}

/** Where the next value is expected: on the line once there are enough to trust it, at the mean until then. */
const expectedNext = ({ mean, slope }: Line, count: number): number =>
  count < limits.fewest ? mean : mean + (slope * (count + 1)) / 2

/** The change of ln(time) over all values, when it is more than noise and worth a word. */
function creepOf(values: readonly number[], scatter: number): number | null {
  const count = values.length
  if (count < limits.fewest) return null
  const line = fitLine(values)
  const middle = (count - 1) / 2
  const residuals = values.map((value, place) => value - line.mean - line.slope * (place - middle))
  let squares = 0
  let products = 0
  residuals.forEach((residual, place) => {
    squares += residual * residual
    products += residual * (residuals[place - 1] ?? 0)
  })
  const { scatterWorth } = limits
  const variance = (squares + scatterWorth * scatter ** 2) / (count - 2 + scatterWorth)
  const { ordinary, worth, most } = limits.correlation
  // residuals of a fitted line go together less than the shots do, by about (2 + 4 r) / n
  const raw = squares > 0 ? products / squares : 0
  const own = raw + (2 + 4 * Math.max(raw, 0)) / count
  const correlation = Math.min(Math.max((count * own + worth * ordinary) / (count + worth), 0), most)
  const error = Math.sqrt((variance / line.spread) * ((1 + correlation) / (1 - correlation)))
  if (Math.abs(line.slope) < limits.signal * error) return null
  const change = limits.said * line.slope * (count - 1)
  return Math.abs(change) < limits.smallest ? null : change
}
