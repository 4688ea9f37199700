import { benchSettingRanges, ordinaryBench, type BenchSettings } from './benchSettings.ts'
import { beverageMass } from './extraction.ts'
import { steadyFlow, waterViscosity, wettingTime, type Bed, type Pump } from './flow.ts'
import { observationRanges, type Air } from './grinderBelief.ts'
import { groundsAt, oldShare, pushOut, turnTo, type Grounds } from './grounds.ts'
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
  /** where the burrs are and what the chute holds; null before the first dose */
  readonly grounds: Grounds | null
  /** when the last shot was pulled; null before the first: the group is cold */
  readonly pulledAt: number | null
  /** slow change of ln(flow resistance) by weather and ageing */
  readonly weather: number
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
  for (const name of Object.keys(benchSettingRanges) as (keyof BenchSettings)[]) {
    const [low, high] = benchSettingRanges[name]
    if (!(all[name] >= low && all[name] <= high))
      throw new OutOfRange(`bench ${name}`, all[name], low, high, '')
  }
  return {
    version: 1,
    settings: all,
    random: seed,
    at: null,
    burrHeat: 0,
    grounds: null,
    pulledAt: null,
    weather: 0,
  }
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
  // a bench that was stored by an earlier version lacks what was added since
  const settings = { ...ordinaryBench, ...bench.settings }
  const { coolingTime, weatherTrend, weatherWander } = settings
  const hours = (at - last) / 3600
  return {
    ...bench,
    settings,
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

/**
 * Seconds from pump on until the drink is in the cup, for a bed whose resistance is multiplied by `resistance`, with
 * water that the group has chilled by `chill` kelvin.
 */
export function shotTime(
  settings: BenchSettings,
  recipe: Recipe,
  bed: Bed,
  resistance: number,
  chill = 0,
): number {
  const pump: Pump = { pressure: settings.pressure * 1e5, freeFlow: settings.freeFlow * 1e-6 }
  const viscosity = waterViscosity(settings.waterTemperature - chill) * resistance
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

/** The grounds once the collar is at a notch. */
const turned = ({ settings, grounds }: Bench, notch: number): Grounds =>
  grounds ? turnTo(grounds, notch, { play: settings.play, holdUp: settings.retention }) : groundsAt(notch)

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
  const random = randomFrom(bench.random)
  const now = forward(bench, pull.at, random)
  const { settings } = now
  const dose = Math.max(recipe.dose + settings.doseScatter * random.normal(), recipe.dose / 2)
  const tamp = Math.exp(settings.tampScatter * random.normal())
  const distribution = settings.bedScatter * random.normal()
  const channelled = random.uniform() < settings.channelChance
  const breakthrough = channelled ? -(0.15 + 0.5 * random.uniform()) : 0
  const seen = random.uniform() < 0.5
  const grounds = turned(now, notch)
  const oldGrind = grounds.oldBurrs === grounds.burrs ? 0 : oldShare(grounds, dose)
  const humidity = pull.air ? settings.humidityEffect * (pull.air.humidity - 50) : 0
  const bed = bedOf(settings, recipe, {
    notch: grounds.burrs,
    oldNotch: grounds.oldBurrs,
    oldGrind,
    dose,
    tamp,
  })
  const crowding = settings.crowding * Math.log(dose / recipe.dose)
  const resistance = Math.exp(
    settings.heatEffect * now.burrHeat + now.weather + humidity + distribution + breakthrough + crowding,
  )
  const idle = now.pulledAt === null ? Infinity : pull.at - now.pulledAt
  const chill = settings.coldGroup * (1 - Math.exp(-idle / settings.groupCooling))
  const seconds = shotTime(settings, recipe, bed, resistance, chill)
  return {
    bench: {
      ...now,
      random: random.state(),
      burrHeat: now.burrHeat + (settings.heatPerDose * dose) / standardRecipes.double.dose,
      grounds: pushOut(grounds, dose),
      pulledAt: pull.at,
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

/** Runs a little coffee through at a setting, to clear the chute of old grounds. @throws OutOfRange */
export function purgeBench(bench: Bench, purge: { readonly notch: number; readonly at: number }): Bench {
  checkNotch(bench, purge.notch)
  const random = randomFrom(bench.random)
  const now = forward(bench, purge.at, random)
  const { purge: grams, heatPerDose } = now.settings
  return {
    ...now,
    random: random.state(),
    burrHeat: now.burrHeat + (heatPerDose * grams) / standardRecipes.double.dose,
    grounds: pushOut(turned(now, purge.notch), grams),
  }
}
