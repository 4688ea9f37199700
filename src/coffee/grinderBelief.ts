import { condition, cutBelow, independent, merge, project, withNoise, type Gaussian } from './gaussian.ts'
import { standardModel, type CarryOver, type GrinderModel } from './grinderModel.ts'
import type { Look } from './judgement.ts'
import { normalDensity, type NormalPart } from './normal.ts'
import { inRange, OutOfRange } from './outOfRange.ts'

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
  /** grams put in the basket against grams the recipe asks for, when it was weighed */
  readonly dose?: { readonly grams: number; readonly recipeGrams: number }
  readonly air?: Air
}

/**
 * What is believed of one grinder with one coffee and one recipe: a plain value to be kept in a machine's context
 * and stored as JSON.
 *
 * ln(time) = level + slope x notches finer + heat x recent doses + drift + scatter, and, where they are known,
 * + temperature + humidity + dose. The unknowns are one Gaussian, tracked by a Kalman filter in which drift is a
 * random walk. How much the operator scatters is not known either, so a bank of such filters runs side by side, one
 * for each possible scatter, each weighted by how well it foretold the shots. A shot that none foretells may be a
 * freak or a lasting change: both are kept open, in the share in which they explain it.
 */
export interface GrinderBelief {
  readonly version: 1
  readonly bank: readonly Member[]
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
}

/** One filter of the bank: a scatter, the chance that it is the true one, and what is known if it is. */
interface Member {
  readonly scatter: number
  readonly weight: number
  readonly state: Gaussian
}

/** What was made of the last shot. */
export interface LastShot {
  readonly seconds: number
  /** what was foretold, seconds */
  readonly foretold: number
  /** chance that it was a freak of technique (channelling) and not the grind */
  readonly faultChance: number
  /** false when its dose still held the old grind */
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
  /** change of a shot's time from a cold grinder to one that has just ground ten doses, percent */
  readonly heatPercent: Estimate
  /** drift since the day began, percent; positive is slower */
  readonly driftPercent: Estimate
  /** shot-to-shot scatter at one setting, percent */
  readonly scatterPercent: number
  readonly shots: number
}

/** Where each effect stands in the Gaussian. */
const effect = { level: 0, slope: 1, heat: 2, drift: 3, temperature: 4, humidity: 5, dose: 6 } as const

/** Ranges of what can be observed. */
export const observationRanges = {
  /** seconds; the shortest burst and the longest drip anybody would time */
  seconds: { low: 1, high: 180 },
  notch: { low: -1000, high: 1000 },
  temperature: { low: -10, high: 60 },
  humidity: { low: 0, high: 100 },
  dose: { low: 5, high: 40 },
} as const

const hour = 3600

/** A belief about a grinder of which nothing is known. `at`: now, seconds. @throws OutOfRange */
export function beginBelief(at: number, model: GrinderModel = standardModel): GrinderBelief {
  checkTime(at, -Infinity)
  const state = cutBelow(
    independent([
      model.level,
      model.slope,
      model.heat,
      { mean: 0, deviation: 0 },
      model.temperature,
      model.humidity,
      model.dose,
    ]),
    effect.slope,
    model.slopeFloor,
  )
  const bank = model.scatters.map(({ scatter, weight }) => ({ scatter, weight, state }))
  return { version: 1, bank, origin: null, notch: null, warmth: 0, at, air: null, learnt: 0, last: null }
}

function checkTime(at: number, notBefore: number): void {
  if (!Number.isFinite(at) || at < notBefore)
    throw new OutOfRange('time of the event', at, notBefore, Infinity, 'seconds, in order')
}

function checkNotch(notch: number): void {
  inRange('notch', notch, observationRanges.notch.low, observationRanges.notch.high, '')
}

function checkAir(air: Air): void {
  const { temperature, humidity } = observationRanges
  inRange('temperature of the room', air.temperature, temperature.low, temperature.high, 'degrees Celsius')
  inRange('humidity of the room', air.humidity, humidity.low, humidity.high, 'percent')
}

function checkShot(shot: ObservedShot): void {
  const { seconds, dose } = observationRanges
  inRange('time of the shot', shot.seconds, seconds.low, seconds.high, 'seconds')
  if (shot.dose) {
    inRange('dose', shot.dose.grams, dose.low, dose.high, 'grams')
    inRange("recipe's dose", shot.dose.recipeGrams, dose.low, dose.high, 'grams')
  }
}

interface Place {
  readonly at: number
  readonly notch: number
  readonly air?: Air
}

/** What happens between the last event and the next: burrs cool, drift grows, a move adds its uncertainty. */
function passage(belief: GrinderBelief, to: Place, model: GrinderModel) {
  checkTime(to.at, belief.at)
  checkNotch(to.notch)
  if (to.air) checkAir(to.air)
  const elapsed = to.at - belief.at
  const moved = belief.notch === null ? 0 : to.notch - belief.notch
  return {
    /** variance added to the drift */
    noise: (model.driftPerRootHour ** 2 * elapsed) / hour + (model.movePerNotch * moved) ** 2,
    warmth: belief.warmth * Math.exp(-elapsed / model.coolingTime),
    air: to.air ?? belief.air,
  }
}

/** The belief carried forward to a time and a setting, before anything is seen there. */
function forward(belief: GrinderBelief, to: Place, model: GrinderModel): GrinderBelief {
  const { noise, warmth, air } = passage(belief, to, model)
  const bank = belief.bank.map((member) => ({
    ...member,
    state: withNoise(member.state, { [effect.drift]: noise }),
  }))
  return { ...belief, bank, origin: belief.origin ?? to.notch, notch: to.notch, warmth, at: to.at, air }
}

/** Where and how a shot is pulled. */
interface Conditions {
  readonly notch: number
  readonly warmth: number
  readonly air: Air | null
  readonly dose?: ObservedShot['dose']
}

/** How much each effect counts in a shot. */
function weightsOf(belief: GrinderBelief, { notch, warmth, air, dose }: Conditions): readonly number[] {
  return [
    1,
    belief.origin === null ? 0 : notch - belief.origin,
    warmth / 10,
    1,
    air ? air.temperature - 20 : 0,
    air ? air.humidity - 50 : 0,
    dose ? Math.log(dose.grams / dose.recipeGrams) : 0,
  ]
}

interface Explanation {
  readonly kind: 'grind' | 'fault' | 'jump'
  readonly chance: number
  readonly shift: number
  readonly extraNoise: number
  readonly extraDrift: number
}

/** The three ways a time can come about. */
function explanations(model: GrinderModel, spraying: boolean): readonly Explanation[] {
  const fault = spraying ? model.fault.chanceIfSpraying : model.fault.chance
  const jump = model.jump.chance
  const grind: Explanation = {
    kind: 'grind',
    chance: 1 - fault - jump,
    shift: 0,
    extraNoise: 0,
    extraDrift: 0,
  }
  const ways: readonly Explanation[] = [
    grind,
    {
      ...grind,
      kind: 'fault',
      chance: fault,
      shift: model.fault.shift,
      extraNoise: model.fault.deviation ** 2,
    },
    { ...grind, kind: 'jump', chance: jump, extraDrift: model.jump.deviation ** 2 },
  ]
  return ways.filter(({ chance }) => chance > 0)
}

/** ln(time) of a shot pulled at a time and a setting, all explanations together. @throws OutOfRange */
export function foretell(
  belief: GrinderBelief,
  shot: Pick<ObservedShot, 'at' | 'notch' | 'dose' | 'air'>,
  model: GrinderModel = standardModel,
): readonly NormalPart[] {
  const { warmth, noise, air } = passage(belief, shot, model)
  const weights = weightsOf(belief, { ...shot, warmth, air })
  const ways = explanations(model, false)
  return belief.bank.flatMap((member) => {
    const { mean, variance } = project(member.state, weights)
    return ways.map((way) => ({
      weight: member.weight * way.chance,
      mean: mean + way.shift,
      deviation: Math.sqrt(variance + noise + member.scatter ** 2 + way.extraNoise + way.extraDrift),
    }))
  })
}

/** Learns one shot in one filter of the bank. */
function learn(
  member: Member,
  weights: readonly number[],
  logTime: number,
  ways: readonly Explanation[],
  model: GrinderModel,
) {
  const { mean, variance } = project(member.state, weights)
  const noise = member.scatter ** 2
  const open = ways.map((way) => {
    const deviation = Math.sqrt(variance + noise + way.extraNoise + way.extraDrift)
    const density = normalDensity((logTime - mean - way.shift) / deviation) / deviation
    // the floor keeps a time that nothing explains from making every explanation impossible
    return { way, likelihood: way.chance * Math.max(density, 1e-100) }
  })
  const likelihood = open.reduce((sum, { likelihood }) => sum + likelihood, 0)
  const parts = open.map(({ way, likelihood: own }) => {
    const prior =
      way.extraDrift > 0 ? withNoise(member.state, { [effect.drift]: way.extraDrift }) : member.state
    return {
      kind: way.kind,
      weight: own / likelihood,
      gaussian: condition(prior, weights, logTime - way.shift, noise + way.extraNoise),
    }
  })
  return {
    scatter: member.scatter,
    weight: member.weight,
    likelihood,
    faultChance: parts.find((part) => part.kind === 'fault')?.weight ?? 0,
    state: cutBelow(merge(parts), effect.slope, model.slopeFloor),
  }
}

/**
 * The belief after one more shot. A dose that still held the old grind is noted but not learnt from.
 * @throws OutOfRange for an impossible time, notch, dose or air, or a shot earlier than the last event
 */
export function observeShot(
  belief: GrinderBelief,
  shot: ObservedShot,
  model: GrinderModel = standardModel,
): GrinderBelief {
  checkShot(shot)
  const mixed = belief.notch !== null && belief.notch !== shot.notch && !shot.purged
  const parts = foretell(belief, shot, model)
  const before = forward(belief, shot, model)
  const foretold = Math.exp(parts.reduce((sum, part) => sum + part.weight * part.mean, 0))
  const after = { ...before, warmth: before.warmth + 1 }
  if (mixed) return { ...after, last: { seconds: shot.seconds, foretold, faultChance: 0, learntFrom: false } }

  const weights = weightsOf(before, { ...before, notch: shot.notch, dose: shot.dose })
  const ways = explanations(model, shot.looks?.includes('spraying') ?? false)
  const logTime = Math.log(shot.seconds)
  const learnt = before.bank.map((member) => learn(member, weights, logTime, ways, model))
  const joint = learnt.map((member) => member.weight ** model.scatterMemory * member.likelihood)
  const total = joint.reduce((sum, value) => sum + value, 0)
  const bank = learnt.map(({ scatter, state }, index) => ({
    scatter,
    weight: (joint[index] ?? 0) / total,
    state,
  }))
  const faultChance = learnt.reduce(
    (sum, member, index) => sum + (member.faultChance * (joint[index] ?? 0)) / total,
    0,
  )
  return {
    ...after,
    bank,
    learnt: belief.learnt + 1,
    last: { seconds: shot.seconds, foretold, faultChance, learntFrom: true },
  }
}

/** The belief after old grounds were cleared at a setting. @throws OutOfRange */
export function observePurge(
  belief: GrinderBelief,
  purge: { readonly notch: number; readonly at: number },
  model: GrinderModel = standardModel,
): GrinderBelief {
  const after = forward(belief, purge, model)
  // a purge is about a quarter of a dose
  return { ...after, warmth: after.warmth + 0.25 }
}

/**
 * The belief on a new day, at a new bag, for another coffee or recipe: what the grinder does is kept, where it
 * stands is less sure. Drift since the day began becomes part of the level. @throws OutOfRange
 */
export function carryOver(
  belief: GrinderBelief,
  to: CarryOver,
  at: number,
  model: GrinderModel = standardModel,
): GrinderBelief {
  checkTime(at, belief.at)
  const elapsed = at - belief.at
  const more = model.carry[to]
  const bank = belief.bank.map((member) => ({
    ...member,
    state: withNoise(foldDrift(member.state), {
      [effect.level]: more.level ** 2,
      [effect.slope]: more.slope ** 2,
      [effect.heat]: more.heat ** 2,
    }),
  }))
  return { ...belief, bank, at, warmth: belief.warmth * Math.exp(-elapsed / model.coolingTime), last: null }
}

/** level + drift as the new level, and no drift. */
function foldDrift({ mean, covariance }: Gaussian): Gaussian {
  const { level, drift } = effect
  const fold = (values: readonly number[]): number[] =>
    values.map((value, index) => {
      if (index === level) return value + (values[drift] ?? 0)
      return index === drift ? 0 : value
    })
  const rows = covariance.map(fold)
  const columns = rows[0]?.map((_, column) => fold(rows.map((row) => row[column] ?? 0))) ?? []
  return { mean: fold(mean), covariance: columns }
}

/** What it believes of notch, heat, drift and scatter. */
export function summarise(belief: GrinderBelief): BeliefSummary {
  const state = merge(belief.bank.map(({ weight, state }) => ({ weight, gaussian: state })))
  const percent = (index: number): Estimate => {
    const mean = state.mean[index] ?? 0
    const reach = 1.6449 * Math.sqrt(state.covariance[index]?.[index] ?? 0)
    return { mean: toPercent(mean), low: toPercent(mean - reach), high: toPercent(mean + reach) }
  }
  return {
    notchPercent: percent(effect.slope),
    heatPercent: percent(effect.heat),
    driftPercent: percent(effect.drift),
    scatterPercent: toPercent(scatterOf(belief)),
    shots: belief.learnt,
  }
}

const toPercent = (logTime: number): number => 100 * Math.expm1(logTime)

/** Shot-to-shot scatter of ln(time) at one setting, as now believed. */
export const scatterOf = (belief: GrinderBelief): number =>
  Math.sqrt(belief.bank.reduce((sum, { scatter, weight }) => sum + weight * scatter ** 2, 0))

/** Scatter of ln(time) from which times no longer tell of the grind: a centred shot then misses a window as often as one in five. */
const scatterLimit = 0.09

/** Whether recent times at one setting agree with each other. */
export function steadiness(belief: GrinderBelief): 'steady' | 'scattered' | 'unknown' {
  if (belief.learnt < 3) return 'unknown'
  const wide = belief.bank.reduce(
    (sum, { scatter, weight }) => sum + (scatter >= scatterLimit ? weight : 0),
    0,
  )
  return wide > 0.8 ? 'scattered' : 'steady'
}
