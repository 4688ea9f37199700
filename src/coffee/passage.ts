import { blend, grow, type Gaussian } from './gaussian.ts'
import {
  checkPlace,
  checkTime,
  effect,
  type Air,
  type GrinderBelief,
  type ObservedShot,
} from './grinderBelief.ts'
import type { GrinderModel } from './grinderModel.ts'
import { groundsAt, turnTo } from './grounds.ts'
import type { Window } from './recipe.ts'

const hour = 3600

interface Place {
  readonly at: number
  readonly notch: number
  readonly air?: Air
}

/** The belief carried forward to a time and a setting, before anything is seen there. @throws OutOfRange */
export function carryForward(belief: GrinderBelief, to: Place, model: GrinderModel): GrinderBelief {
  checkTime(to.at, belief.at)
  checkPlace(to)
  const elapsed = to.at - belief.at
  const moved = belief.notch === null ? 0 : to.notch - belief.notch
  if (elapsed === 0 && moved === 0 && belief.notch !== null)
    return to.air ? { ...belief, air: to.air } : belief
  const hours = elapsed / hour
  const keep = Math.exp(-hours / model.rate.hours)
  const drift = model.driftPerRootHour ** 2 * hours + (model.movePerNotch * moved) ** 2
  const rate = model.rate.deviation ** 2 * (1 - keep ** 2)
  const pass = (state: Gaussian): Gaussian =>
    blend(
      blend(state, effect.drift, { keep: 1, other: effect.rate, share: hours, noise: drift }),
      effect.rate,
      {
        keep,
        other: effect.level,
        share: 0,
        noise: rate,
      },
    )
  return {
    ...belief,
    bank: belief.bank.map((member) => ({ ...member, state: pass(member.state) })),
    grounds: belief.grounds.map((grounds, index) =>
      belief.notch === null
        ? groundsAt(to.notch)
        : turnTo(grounds, to.notch, model.builds[index] ?? { play: 0, holdUp: 0 }),
    ),
    origin: belief.origin ?? to.notch,
    notch: to.notch,
    warmth: belief.warmth * Math.exp(-elapsed / model.coolingTime),
    at: to.at,
    air: to.air ?? belief.air,
  }
}

const middle = ({ opens, closes }: Window): number => Math.log(opens * closes) / 2

type Facts = Pick<ObservedShot, 'recipe' | 'person' | 'dose' | 'yield'>

/** The unknowns that a shot's facts bring in, beside those always there, each with its prior and its weight. */
function extrasOf(belief: GrinderBelief, facts: Facts, model: GrinderModel) {
  const { recipe, person, dose, yield: drink } = facts
  const { air, firstRecipe } = belief
  const first = firstRecipe === null ? undefined : belief.recipes[firstRecipe]
  const centred = (deviation: number) => ({ mean: 0, deviation })
  return [
    ...(recipe && first && recipe.name !== firstRecipe
      ? [
          {
            name: `recipe ${recipe.name}`,
            weight: 1,
            prior: { mean: middle(recipe.window) - middle(first.window), deviation: model.recipe.deviation },
          },
        ]
      : []),
    ...(person === undefined
      ? []
      : [{ name: `hand ${person}`, weight: 1, prior: centred(model.hand.deviation) }]),
    ...(dose ? [{ name: 'dose', weight: Math.log(dose.grams / dose.recipeGrams), prior: model.dose }] : []),
    ...(drink
      ? [{ name: 'yield', weight: Math.log(drink.grams / drink.recipeGrams), prior: model.yield }]
      : []),
    ...(air
      ? [
          { name: 'temperature', weight: air.temperature - 20, prior: model.temperature },
          { name: 'humidity', weight: air.humidity - 50, prior: model.humidity },
        ]
      : []),
  ]
}

/**
 * The belief with every unknown that a shot's facts bring in, and how much each counts in that shot; the weight of the slope is
 * left at 0, for it depends on the grounds.
 */
export function prepare(
  belief: GrinderBelief,
  facts: Facts,
  model: GrinderModel,
): { belief: GrinderBelief; weights: number[] } {
  const extras = extrasOf(belief, facts, model)
  const unknown = extras.filter(({ name }) => !belief.effects.includes(name))
  const effects = [...belief.effects, ...unknown.map(({ name }) => name)]
  const weights = effects.map((name) => extras.find((extra) => extra.name === name)?.weight ?? 0)
  weights[effect.level] = 1
  weights[effect.heat] = belief.warmth / 10
  weights[effect.drift] = 1
  if (unknown.length === 0) return { belief, weights }
  const priors = unknown.map(({ prior }) => prior)
  const bank = belief.bank.map((member) => ({ ...member, state: grow(member.state, priors) }))
  return { belief: { ...belief, effects, bank }, weights }
}

/** Noise that a cold group adds to a shot: variance of ln(time). */
export function coldNoise(idle: number | undefined, { cold }: GrinderModel): number {
  if (idle === undefined) return 0
  const part = Math.min(Math.max((idle - cold.from) / (cold.full - cold.from), 0), 1)
  return (part * cold.deviation) ** 2
}

/** What a dose that is not said adds: variance of ln(time). None while no dose was ever said: it is part of the scatter then. */
export function doseNoise(belief: GrinderBelief, state: Gaussian, model: GrinderModel): number {
  if (belief.doses.count === 0) return 0
  const place = belief.effects.indexOf('dose')
  const effectOfDose = (place < 0 ? undefined : state.mean[place]) ?? model.dose.mean
  return effectOfDose ** 2 * belief.doses.variance
}
