import { cutBelow, independent, type Gaussian } from './gaussian.ts'
import { groundsAt, type Grounds } from './grounds.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import type { Look } from './judgement.ts'
import { inRange, OutOfRange } from './outOfRange.ts'
import type { Recipe, Window } from './recipe.ts'

/** Room air, when it is known. Everything works without it. */
export interface Air {
  /** degrees Celsius */
  readonly temperature: number
  /** relative humidity, percent */
  readonly humidity: number
}

/** Grams that were put in or came out, against what the recipe asks for. */
export interface Weighed {
  readonly grams: number
  readonly recipeGrams: number
}

/** One pull as the grinder model sees it. What is not known is left out. */
export interface ObservedShot {
  /** from pump on to pump off, seconds */
  readonly seconds: number
  /** setting of the grinder in notches; higher is finer */
  readonly notch: number
  /** when it was pulled, seconds on any clock that only goes forward (the bar clock) */
  readonly at: number
  /** whether clearing the old grounds was said since the grind was last moved; no matter when it was not moved */
  readonly purged: boolean
  readonly looks?: readonly Look[]
  /** what was pulled: recipes on one grinder share its belief, each with an offset of its own */
  readonly recipe?: Recipe
  /** number of the barista, when it is known whose hand it was */
  readonly person?: number
  readonly dose?: Weighed
  /** what came out, or was meant to come out */
  readonly yield?: Weighed
  /** seconds that the group had been idle before; none when it was flushed */
  readonly idle?: number
  readonly air?: Air
}

/**
 * What is believed of one grinder with one coffee: a plain value to be kept in a machine's context and stored as
 * JSON.
 *
 * ln(time) = level + slope x notches finer + heat x recent doses + drift + scatter, and, where they are known,
 * + recipe + hand + dose + yield + temperature + humidity. The unknowns are one Gaussian, tracked by a Kalman filter
 * in which drift is a random walk with a slowly changing rate. How much a hand scatters, how much play the collar has and how
 * much the chute holds up are not known either, so a bank of such filters runs side by side, one for each
 * supposition, weighted by how well it foretold the shots (the multiple model method: Magill, "Optimal adaptive
 * estimation of sampled stochastic processes", IEEE Transactions on Automatic Control 10, 1965). A shot that no
 * filter foretells may be a freak or a lasting change: every way is kept open, in the share in which it explains the
 * shot (the Gaussian sum of Harrison and Stevens, "Bayesian forecasting", Journal of the Royal Statistical Society B
 * 38, 1976, collapsed at each step).
 */
export interface GrinderBelief {
  readonly version: 2
  /** names of the unknowns, in the order in which the filters hold them */
  readonly effects: readonly string[]
  readonly bank: readonly Member[]
  /** for each build of the model: where the grounds are, if it is the true one */
  readonly grounds: readonly Grounds[]
  /** the setting of the first shot, from which notches are counted */
  readonly origin: number | null
  /** setting of the last grounds through the grinder */
  readonly notch: number | null
  /** recent doses as of `at`, each fading with time */
  readonly warmth: number
  /** of the last event, seconds */
  readonly at: number
  readonly air: Air | null
  /** shots learnt from, in all */
  readonly learnt: number
  readonly last: LastShot | null
  /** whose hand the weights of the scatters are of, and those of the others */
  readonly person: number | null
  readonly hands: Readonly<Record<string, readonly number[]>>
  /** recipes pulled, each with what is needed to aim at it; the first one is where the others are counted from */
  readonly recipes: Readonly<Record<string, KnownRecipe>>
  readonly firstRecipe: string | null
  /** what is ordered and pulled by whom: newer shots count for more */
  readonly mix: readonly Order[]
  /** freaks so far, as expected numbers of shots, fading */
  readonly freaks: { readonly fast: number; readonly slow: number; readonly shots: number }
  /** chance that clearing the grounds is done though not said */
  readonly unsaidPurge: number
  /** ln(dose / recipe dose) of the doses that were said */
  readonly doses: { readonly count: number; readonly mean: number; readonly variance: number }
  /** the last shots since the day or the bag began, oldest first */
  readonly recent: readonly SeenShot[]
}

/** One filter of the bank: the suppositions, the chance that they are true, and what is known if they are. */
export interface Member {
  /** places in the model's lists */
  readonly scatter: number
  readonly build: number
  readonly weight: number
  readonly state: Gaussian
}

export interface KnownRecipe {
  readonly dose: number
  readonly window: Window
}

export interface Order {
  readonly recipe: string
  readonly person: number | null
  /** of a sum that is 1 */
  readonly share: number
}

/** A shot as it was seen, for a picture and for what has landed since the day began. */
export interface SeenShot {
  readonly notch: number
  readonly seconds: number
  readonly recipe: string
  /** chance that it was a freak */
  readonly fault: number
}

/** What was made of the last shot. */
export interface LastShot {
  readonly seconds: number
  readonly recipe: string
  /** what was foretold, seconds */
  readonly foretold: number
  /** chance that it was a freak (channelling, an overfilled basket) and not the grind */
  readonly faultChance: number
  /** what notch, recipe, hand, dose and yield did to its ln(time), as far as is known */
  readonly effects: number
  /** part of its dose that is thought to have been old grounds, 0 to 1 */
  readonly oldShare: number
  /** whether old grounds are thought to have moved its time by as much as one can notice */
  readonly mixed: boolean
}

/** A number with its 90 % interval. */
export interface Estimate {
  readonly mean: number
  readonly low: number
  readonly high: number
}

/** Where the unknowns that are always there stand. */
export const effect = { level: 0, slope: 1, heat: 2, drift: 3, rate: 4 } as const

/** Ranges of what can be observed. */
export const observationRanges = {
  /** seconds; the shortest burst and the longest drip anybody would time */
  seconds: { low: 1, high: 180 },
  notch: { low: -1000, high: 1000 },
  temperature: { low: -10, high: 60 },
  humidity: { low: 0, high: 100 },
  dose: { low: 5, high: 40 },
  yield: { low: 5, high: 200 },
} as const

/** A belief about a grinder of which nothing is known. `at`: now, seconds. @throws OutOfRange */
export function beginBelief(at: number, model: GrinderModel = standardModel): GrinderBelief {
  checkTime(at, -Infinity)
  const { level, heat, rate } = model
  const stateOf = (slope: GrinderModel['slope']): Gaussian =>
    cutBelow(
      independent([level, slope, heat, { mean: 0, deviation: 0 }, { mean: 0, deviation: rate.deviation }]),
      effect.slope,
      model.slopeFloor,
    )
  return {
    version: 2,
    effects: Object.keys(effect),
    bank: model.builds.flatMap((build, place) => {
      const state = stateOf(build.slope ?? model.slope)
      return model.scatters.map(({ weight }, scatter) => ({
        scatter,
        build: place,
        weight: weight * build.weight,
        state,
      }))
    }),
    grounds: model.builds.map(() => groundsAt(0)),
    origin: null,
    notch: null,
    warmth: 0,
    at,
    air: null,
    learnt: 0,
    last: null,
    person: null,
    hands: {},
    recipes: {},
    firstRecipe: null,
    mix: [],
    freaks: {
      fast: model.fast.chance * model.freakMemory,
      slow: model.slow.chance * model.freakMemory,
      shots: model.freakMemory,
    },
    unsaidPurge: model.unsaidPurge.chance,
    doses: { count: 0, mean: 0, variance: model.doseScatter.deviation ** 2 },
    recent: [],
  }
}

/** @throws OutOfRange */
export function checkTime(at: number, notBefore: number): void {
  if (!Number.isFinite(at) || at < notBefore)
    throw new OutOfRange('time of the event', at, notBefore, Infinity, 'seconds, in order')
}

/** @throws OutOfRange */
export function checkPlace({ notch, air }: { readonly notch: number; readonly air?: Air }): void {
  const { temperature, humidity } = observationRanges
  inRange('notch', notch, observationRanges.notch.low, observationRanges.notch.high, '')
  if (!air) return
  inRange('temperature of the room', air.temperature, temperature.low, temperature.high, 'degrees Celsius')
  inRange('humidity of the room', air.humidity, humidity.low, humidity.high, 'percent')
}

/** @throws OutOfRange */
export function checkShot({ seconds: time, dose, yield: drink, idle }: ObservedShot): void {
  const { seconds, dose: doses, yield: yields } = observationRanges
  inRange('time of the shot', time, seconds.low, seconds.high, 'seconds')
  if (dose) {
    inRange('dose', dose.grams, doses.low, doses.high, 'grams')
    inRange("recipe's dose", dose.recipeGrams, doses.low, doses.high, 'grams')
  }
  if (drink) {
    inRange('yield', drink.grams, yields.low, yields.high, 'grams')
    inRange("recipe's yield", drink.recipeGrams, yields.low, yields.high, 'grams')
  }
  if (idle !== undefined && !(idle >= 0)) throw new OutOfRange('idle time', idle, 0, Infinity, 'seconds')
}

/** The scatter of a member, standard deviation of ln(time). */
export const scatterAt = (member: Member, model: GrinderModel): number =>
  model.scatters[member.scatter]?.scatter ?? 0.06
