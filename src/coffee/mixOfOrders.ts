import type { GrinderBelief } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { outlooksOf, type NextShot, type Outlooks } from './foretell.ts'
import { anyRecipe } from './observe.ts'
import type { Standing, Target } from './plan.ts'
import type { Recipe, Window } from './recipe.ts'

/** A share of what is ordered. */
export interface OrderShare {
  readonly recipe: Recipe
  /** any positive numbers; only their ratios count */
  readonly share: number
}

/** One kind of order by one hand, as the next shot is foretold for it. */
export interface Case {
  readonly share: number
  readonly window: Window
  readonly outlooks: Outlooks
}

/** Kinds of order rarer than this do not decide where the grind is. */
const tooRare = 0.04

/**
 * What the grind is chosen for: each recipe that is ordered and each hand that pulls, with its share. From the orders
 * given, or else from the shots of late. @throws OutOfRange
 */
export function casesOf(
  belief: GrinderBelief,
  recipe: Recipe,
  next: Omit<NextShot, 'recipe' | 'person'>,
  orders: readonly OrderShare[] | undefined,
  model: GrinderModel,
): readonly Case[] {
  const named = new Map<string, Pick<Recipe, 'name' | 'dose' | 'window'>>([
    ...Object.entries(belief.recipes).map(([name, known]) => [name, { name, ...known }] as const),
    [recipe.name, recipe],
    [anyRecipe, recipe],
    ...(orders ?? []).map((order) => [order.recipe.name, order.recipe] as const),
  ])
  const hands = new Map<number | null, number>()
  for (const { person, share } of belief.mix) hands.set(person, (hands.get(person) ?? 0) + share)
  if (hands.size === 0) hands.set(null, 1)
  const wanted = orders
    ? orders.flatMap(({ recipe: { name }, share }) =>
        [...hands].map(([person, part]) => ({ name, person, share: share * part })),
      )
    : belief.mix.length > 0
      ? belief.mix.map((order) => ({ name: order.recipe, person: order.person, share: order.share }))
      : [{ name: recipe.name, person: null, share: 1 }]
  const kept = wanted.filter(({ name, share }) => share > tooRare && named.has(name))
  const total = kept.reduce((sum, { share }) => sum + share, 0)
  return kept.map(({ name, person, share }) => {
    const own = named.get(name) ?? recipe
    const shot: NextShot = {
      ...next,
      ...(name !== anyRecipe && { recipe: { ...recipe, ...own } }),
      ...(person !== null && { person }),
    }
    return { share: share / total, window: own.window, outlooks: outlooksOf(belief, shot, model) }
  })
}

/** The cases as one standing and, against it, a target for each. */
export function standingOf(
  cases: readonly Case[],
  notch: number,
): { standing: Standing; targets: readonly Target[] } {
  const standings = cases.map(({ outlooks }) => standingFor(outlooks, notch))
  const first = standings[0] ?? standingFor({ lines: [], at: () => [], settingAt: () => 0 }, notch)
  const main = standings.reduce(
    (most, each, index) =>
      (cases[index]?.share ?? 0) > most.share ? { each, share: cases[index]?.share ?? 0 } : most,
    { each: first, share: 0 },
  ).each
  return {
    standing: main,
    targets: cases.map(({ share, window }, index) => {
      const own = standings[index] ?? main
      const off = own.mean - main.mean
      return {
        share,
        opens: Math.log(window.opens) - off,
        closes: Math.log(window.closes) - off,
        variance: Math.max(0, own.variance - main.variance),
      }
    }),
  }
}

/** All filters of the bank as one standing at a notch. */
function standingFor({ lines, settingAt }: Outlooks, notch: number): Standing {
  const there = lines.map((line) => {
    const setting = settingAt(notch, line.build)
    return {
      ...line,
      mean: line.mean + line.slope * setting,
      variance: line.variance + 2 * line.covariance * setting + line.slopeVariance * setting ** 2,
      covariance: line.covariance + line.slopeVariance * setting,
    }
  })
  const expect = (value: (line: (typeof there)[number]) => number): number =>
    there.reduce((sum, line) => sum + line.weight * value(line), 0)
  const mean = expect((line) => line.mean)
  const slope = expect((line) => line.slope)
  return {
    mean,
    slope,
    variance: expect((line) => line.variance + (line.mean - mean) ** 2),
    slopeVariance: expect((line) => line.slopeVariance + (line.slope - slope) ** 2),
    covariance: expect((line) => line.covariance + (line.mean - mean) * (line.slope - slope)),
    noise: expect((line) => line.noise),
  }
}

/**
 * The dose that brings a recipe to the middle of its window at the present notch, to the half gram: where one notch
 * serves several sizes, the dose brings in those that it does not suit. Null when the recipe's own dose lands, when
 * too few shots were pulled to know, or when it would take more than a basket allows for: a tenth either way, common
 * practice. @throws OutOfRange
 */
export function doseFor(
  belief: GrinderBelief,
  recipe: Recipe,
  now: { readonly at: number; readonly notch: number },
  model: GrinderModel = standardModel,
): number | null {
  const pulled = belief.recent.filter((shot) => shot.recipe === recipe.name).length
  if (Object.keys(belief.recipes).length < 2 || pulled < 2) return null
  const outlooks = outlooksOf(belief, { ...now, recipe }, model)
  const { mean, noise } = standingFor(outlooks, now.notch)
  const opens = Math.log(recipe.window.opens)
  const closes = Math.log(recipe.window.closes)
  const edge = 0.5 * Math.sqrt(noise)
  if (mean > opens + edge && mean < closes - edge) return null
  const place = belief.effects.indexOf('dose')
  const effectOfDose = belief.bank.reduce(
    (sum, { weight, state }) =>
      sum + weight * ((place < 0 ? undefined : state.mean[place]) ?? model.dose.mean),
    0,
  )
  const change = ((opens + closes) / 2 - mean) / Math.max(effectOfDose, 0.5)
  const grams = Math.round(2 * recipe.dose * Math.exp(change)) / 2
  return Math.abs(grams / recipe.dose - 1) > 0.1 || grams === recipe.dose ? null : grams
}
