import { beverageMass } from './extraction.ts'
import { steadyFlow, waterViscosity, wettingTime, type Bed, type Pump } from './flow.ts'
import { observationRanges, type Air } from './grinderBelief.ts'
import type { Look } from './judgement.ts'
import { inRange, OutOfRange, wholeInRange } from './outOfRange.ts'
import { randomFrom, type Random } from './random.ts'
import { checkRecipe, standardRecipes, type Recipe } from './recipe.ts'

/**
 * A simulated grinder, machine and operator: a plain value with its own random state. It stands in for a bar in
 * practice without coffee, in demonstrations and when policies are compared. It is built from the physics of flow
 * through a bed and knows nothing of the adviser's straight-line model.
 */
export interface Bench {
  readonly version: 1
  readonly settings: BenchSettings
  /** state of the random stream */
  readonly random: number
  /** seconds on any clock that only goes forward, of the last thing that happened; null before the first */
  readonly at: number | null
  /** rise of the burrs over the room, kelvin */
  readonly burrHeat: number
  /** setting of the grounds left in the chute, notches; null when it is clean */
  readonly chute: number | null
  /** slow change of ln(flow resistance) by weather and ageing */
  readonly weather: number
}

/**
 * How one bench differs from another. The figures of an ordinary bench, below, are from memory and rules of thumb
 * of the trade, except where a source is named.
 */
export interface BenchSettings {
  /** notch at which an ordinary double runs for the middle of its window */
  readonly centreNotch: number
  /** settings the grinder has on either side of that */
  readonly reach: number
  /** Sauter diameter of the grounds at the centre notch, micrometres */
  readonly diameter: number
  /** part of that diameter taken off by one notch finer: burrs close by even steps */
  readonly diameterPerNotch: number
  /** porosity of the wet, swollen bed at the centre notch */
  readonly porosity: number
  /** finer grounds also pack closer: porosity lost by one notch finer */
  readonly porosityPerNotch: number
  /** of the dry, tamped bed, grams a millilitre */
  readonly bedDensity: number
  /** pump pressure, bar: common practice */
  readonly pressure: number
  /** flow of the pump against nothing, millilitres a second */
  readonly freeFlow: number
  /** degrees Celsius at the bed: common practice */
  readonly waterTemperature: number
  /** seconds from button to pressure on the bed: lines and headspace fill */
  readonly fillTime: number
  /** grounds that stay in the chute, grams */
  readonly retention: number
  /** a dose heats the burrs by so many kelvin */
  readonly heatPerDose: number
  /** seconds in which that fades to 37 % */
  readonly coolingTime: number
  /** change of ln(resistance) per kelvin of the burrs; grinders differ in its sign */
  readonly heatEffect: number
  /** straight change of ln(resistance) per hour */
  readonly weatherTrend: number
  /** and wandering: standard deviation after one hour */
  readonly weatherWander: number
  /** change of ln(resistance) per percent of relative humidity over 50 */
  readonly humidityEffect: number
  /** standard deviations of the operator's dose (grams), tamp (share of its force) and of ln(resistance) by distribution */
  readonly doseScatter: number
  readonly tampScatter: number
  readonly bedScatter: number
  /** chance that water breaks through the bed */
  readonly channelChance: number
}

export const ordinaryBench: BenchSettings = {
  centreNotch: 15,
  reach: 14,
  diameter: 15.4,
  diameterPerNotch: 0.045,
  porosity: 0.15,
  porosityPerNotch: 0.0022,
  bedDensity: 0.4,
  pressure: 9,
  freeFlow: 25,
  waterTemperature: 93,
  fillTime: 2,
  retention: 4,
  heatPerDose: 1.2,
  coolingTime: 900,
  heatEffect: 0.004,
  weatherTrend: 0,
  weatherWander: 0.03,
  humidityEffect: 0.002,
  doseScatter: 0.2,
  tampScatter: 0.1,
  bedScatter: 0.04,
  channelChance: 0.04,
}

const settingRanges: Readonly<Record<keyof BenchSettings, readonly [number, number]>> = {
  centreNotch: [-1000, 1000],
  reach: [1, 18],
  diameter: [5, 200],
  diameterPerNotch: [0, 0.05],
  porosity: [0.1, 0.5],
  porosityPerNotch: [0, 0.005],
  bedDensity: [0.2, 0.8],
  pressure: [1, 15],
  freeFlow: [1, Infinity],
  waterTemperature: [20, 100],
  fillTime: [0, 20],
  retention: [0, 20],
  heatPerDose: [0, 10],
  coolingTime: [1, 1e5],
  heatEffect: [-0.05, 0.05],
  weatherTrend: [-0.5, 0.5],
  weatherWander: [0, 0.5],
  humidityEffect: [-0.05, 0.05],
  doseScatter: [0, 5],
  tampScatter: [0, 1],
  bedScatter: [0, 1],
  channelChance: [0, 1],
}

export interface Pull {
  /** notches, higher is finer */
  readonly notch: number
  readonly recipe: Recipe
  /** seconds, not before the last thing that happened */
  readonly at: number
  readonly air?: Air
}

export interface SimulatedShot {
  /** from pump on until the recipe's drink is in the cup, seconds */
  readonly seconds: number
  readonly looks: readonly Look[]
  readonly channelled: boolean
  /** grams really in the basket */
  readonly dose: number
  /** part of the dose that was ground at the setting before */
  readonly oldGrind: number
}

/**
 * A bench for a random seed (a whole number): the same seed and the same pulls give the same shots.
 * @throws OutOfRange for a setting that no bench could have
 */
export function createBench(seed: number, settings: Partial<BenchSettings> = {}): Bench {
  wholeInRange('random seed', seed, 0, 2 ** 32 - 1, '')
  const all = { ...ordinaryBench, ...settings }
  for (const name of Object.keys(settingRanges) as (keyof BenchSettings)[]) {
    const [low, high] = settingRanges[name]
    if (!(all[name] >= low && all[name] <= high))
      throw new OutOfRange(`bench ${name}`, all[name], low, high, '')
  }
  return { version: 1, settings: all, random: seed, at: null, burrHeat: 0, chute: null, weather: 0 }
}

/** The settings that the bench's grinder has. */
export const benchNotches = ({ settings }: Bench): { lowest: number; highest: number } => ({
  lowest: settings.centreNotch - settings.reach,
  highest: settings.centreNotch + settings.reach,
})

/** The bench at a later time: burrs cool, the weather moves on. The first event starts its clock. */
function forward(bench: Bench, at: number, random: Random): Bench {
  const last = bench.at ?? at
  if (!(Number.isFinite(at) && at >= last))
    throw new OutOfRange('time of the event', at, last, Infinity, 'seconds, in order')
  const { coolingTime, weatherTrend, weatherWander } = bench.settings
  const hours = (at - last) / 3600
  return {
    ...bench,
    at,
    burrHeat: bench.burrHeat * Math.exp((-3600 * hours) / coolingTime),
    weather: bench.weather + weatherTrend * hours + weatherWander * Math.sqrt(hours) * random.normal(),
  }
}

interface Packing {
  readonly notch: number
  readonly oldNotch: number
  /** part of the dose at the old notch */
  readonly oldGrind: number
  /** grams */
  readonly dose: number
  /** force of the tamp over the common one */
  readonly tamp: number
}

/** The bed that a dose makes, before heat, weather and chance. Grounds of two settings mix by their surface. */
export function bedOf(settings: BenchSettings, recipe: Recipe, packing: Packing): Bed {
  const ground = (notch: number) => {
    const finer = notch - settings.centreNotch
    return {
      diameter: settings.diameter * 1e-6 * (1 - settings.diameterPerNotch * finer),
      porosity: settings.porosity - settings.porosityPerNotch * finer,
    }
  }
  const now = ground(packing.notch)
  const old = ground(packing.oldNotch)
  const part = packing.oldGrind
  const area = (Math.PI * (recipe.basket / 1000) ** 2) / 4
  return {
    diameter: 1 / ((1 - part) / now.diameter + part / old.diameter),
    // a harder tamp closes the bed a little: common practice says that it matters far less than the grind
    porosity: (1 - part) * now.porosity + part * old.porosity - 0.002 * Math.log(packing.tamp),
    depth: (packing.dose * 1e-6) / settings.bedDensity / area,
    area,
  }
}

/** Seconds from pump on until the drink is in the cup, for a bed whose resistance is multiplied by `resistance`. */
export function shotTime(settings: BenchSettings, recipe: Recipe, bed: Bed, resistance: number): number {
  const pump: Pump = { pressure: settings.pressure * 1e5, freeFlow: settings.freeFlow * 1e-6 }
  const viscosity = waterViscosity(settings.waterTemperature) * resistance
  // a gram of drink is about a millilitre of water through the bed
  const water = beverageMass(recipe.yield) * 1e-6
  return settings.fillTime + wettingTime(bed, pump, viscosity) + water / steadyFlow(bed, pump, viscosity)
}

/**
 * The time of a shot with no chance in it: settled grind, exact dose and tamp, cold burrs and calm weather unless
 * given. What the policies are judged against. Seconds.
 */
export function typicalTime(bench: Bench, notch: number, recipe: Recipe): number {
  const { settings } = bench
  const bed = bedOf(settings, recipe, { notch, oldNotch: notch, oldGrind: 0, dose: recipe.dose, tamp: 1 })
  return shotTime(settings, recipe, bed, Math.exp(settings.heatEffect * bench.burrHeat + bench.weather))
}

/** Grinds, doses, tamps and pulls one shot. @throws OutOfRange */
export function pullShot(bench: Bench, pull: Pull): { bench: Bench; shot: SimulatedShot } {
  const { recipe, notch } = pull
  checkRecipe(recipe)
  checkNotch(bench, notch)
  if (pull.air)
    inRange(
      'humidity of the room',
      pull.air.humidity,
      observationRanges.humidity.low,
      observationRanges.humidity.high,
      'percent',
    )
  const { settings } = bench
  const random = randomFrom(bench.random)
  const now = forward(bench, pull.at, random)
  const dose = Math.max(recipe.dose + settings.doseScatter * random.normal(), recipe.dose / 2)
  const tamp = Math.exp(settings.tampScatter * random.normal())
  const distribution = settings.bedScatter * random.normal()
  const channelled = random.uniform() < settings.channelChance
  const breakthrough = channelled ? -(0.15 + 0.5 * random.uniform()) : 0
  const seen = random.uniform() < 0.5
  const oldGrind = now.chute === null || now.chute === notch ? 0 : Math.min(settings.retention / dose, 1)
  const humidity = pull.air ? settings.humidityEffect * (pull.air.humidity - 50) : 0
  const bed = bedOf(settings, recipe, { notch, oldNotch: now.chute ?? notch, oldGrind, dose, tamp })
  const resistance = Math.exp(
    settings.heatEffect * now.burrHeat + now.weather + humidity + distribution + breakthrough,
  )
  const seconds = shotTime(settings, recipe, bed, resistance)
  return {
    bench: {
      ...now,
      random: random.state(),
      burrHeat: now.burrHeat + (settings.heatPerDose * dose) / standardRecipes.double.dose,
      chute: notch,
    },
    shot: { seconds, looks: looksOf(seconds, recipe, channelled && seen), channelled, dose, oldGrind },
  }
}

function looksOf(seconds: number, { window }: Recipe, spraying: boolean): readonly Look[] {
  if (spraying) return ['spraying']
  if (seconds < 0.6 * window.opens) return ['gushing', 'pale']
  if (seconds < window.opens) return ['pale']
  return seconds > 1.35 * window.closes ? ['dark drips'] : ['even']
}

function checkNotch(bench: Bench, notch: number): void {
  const { lowest, highest } = benchNotches(bench)
  inRange('notch', notch, lowest, highest, '')
}

/** Clears the chute with a little coffee at a setting. @throws OutOfRange */
export function purgeBench(bench: Bench, purge: { readonly notch: number; readonly at: number }): Bench {
  checkNotch(bench, purge.notch)
  const random = randomFrom(bench.random)
  const now = forward(bench, purge.at, random)
  const grams = Math.max(bench.settings.retention, 3)
  return {
    ...now,
    random: random.state(),
    burrHeat: now.burrHeat + (bench.settings.heatPerDose * grams) / standardRecipes.double.dose,
    chute: purge.notch,
  }
}
