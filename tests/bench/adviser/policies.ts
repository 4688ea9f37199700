import {
  advise,
  beginBelief,
  carryOver,
  judge,
  nextStep,
  observePurge,
  observeShot,
  outlook,
  standardRecipes,
  steadiness,
  type Outlook,
  type Recipe,
} from '../../../src/coffee/index.ts'
import type { Bar, BarState, Pulled, Size } from './world.ts'
import { settledTime } from './world.ts'

/** What a policy sees of a shot, and whether clearing the grounds was said since the last move. */
export interface Seen extends Pulled {
  readonly size: Size
  readonly hand: number
  readonly notch: number
  readonly at: number
  readonly purgeSaid: boolean
}

/** What was said of the next shot, to be compared with what came. */
export interface Foretold {
  readonly low: number
  readonly high: number
  readonly chance: number
}

export interface Answer {
  /** positive is finer */
  readonly move: number
  readonly foretold?: (size: Size, hand: number) => Foretold
}

/** A way of moving the grind, for one bar: it may keep what it likes. */
export interface Policy {
  after(shot: Seen): Answer
  /** "purged" was said */
  purged?(notch: number, at: number): void
  nextDay?(at: number): void
}

/** The truth, for the limit that knows it. */
export interface Truth {
  readonly bar: Bar
  readonly state: BarState
  readonly sizes: readonly { readonly size: Size; readonly share: number }[]
}

const missOf = ({ told, size }: Seen): number => (told < size.opens ? 1 : told > size.closes ? -1 : 0)
const middle = ({ opens, closes }: Size): number => Math.log(opens * closes) / 2
/** What a notch is worth to those who do not learn it. */
const ordinaryNotch = 0.12

/** One notch after every miss. */
const plain = (): Policy => ({ after: (shot) => ({ move: missOf(shot) }) })

/** One notch after two misses running on the same side. */
function twoMisses(): Policy {
  let before = 0
  return {
    after: (shot) => {
      const miss = missOf(shot)
      const move = miss !== 0 && miss === before ? miss : 0
      before = move === 0 ? miss : 0
      return { move }
    },
  }
}

/** After a miss, as many notches as an ordinary notch would need to reach the middle. */
const proportional = (): Policy => ({
  after: (shot) => ({
    move: missOf(shot) === 0 ? 0 : Math.round((middle(shot.size) - Math.log(shot.told)) / ordinaryNotch),
  }),
})

/**
 * An exponentially weighted controller: the disturbance is followed by an EWMA, and outside a dead band the whole of it is
 * taken out (deadbeat). Box and Luceño, Statistical Control by Monitoring and Feedback Adjustment (1997), bounded
 * adjustment; the run-by-run EWMA controller of Sachs, Hu and Ingolfsson, IEEE Transactions on Semiconductor
 * Manufacturing 8 (1995). Weight 0.3 and a dead band of 0.7 of a notch did best in the straight scenario.
 */
function weighted(weight = 0.3, band = 0.7 * ordinaryNotch): () => Policy {
  return () => {
    let disturbance: number | null = null
    return {
      after: (shot) => {
        // where the middle of the window would have to be for this shot
        const off = Math.log(shot.told) - middle(shot.size) - ordinaryNotch * shot.notch
        disturbance = disturbance === null ? off : weight * off + (1 - weight) * disturbance
        const expected = disturbance + ordinaryNotch * shot.notch
        return { move: Math.abs(expected) > band ? Math.round(-expected / ordinaryNotch) : 0 }
      },
    }
  }
}

/** Error function by Abramowitz and Stegun 7.1.26: good enough to choose a notch. */
function below(x: number): number {
  const t = 1 / (1 + 0.3275911 * (Math.abs(x) / Math.SQRT2))
  const tail =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
    Math.exp((-x * x) / 2)
  return x > 0 ? 1 - tail / 2 : tail / 2
}

/** The limit: knows every parameter and the state of the bar, and sets the notch that lands most of the orders. */
const clairvoyant = (truth: Truth): Policy => ({
  after: ({ notch, hand }) => {
    const { bar, state, sizes } = truth
    const chanceAt = (at: number): number =>
      sizes.reduce((sum, { size, share }) => {
        const time = settledTime(bar, state, size, hand, at)
        const deviation = Math.hypot(bar.scatter(at), (bar.doseExponent * bar.doseScatter) / size.dose)
        const [opens, closes] = [Math.log(size.opens), Math.log(size.closes)]
        return sum + share * (below((closes - time) / deviation) - below((opens - time) / deviation))
      }, 0)
    let best = notch
    for (let at = notch - 40; at <= notch + 40; at += 1)
      if (chanceAt(at) > chanceAt(best) + (best === notch ? 0.02 : 0)) best = at
    return { move: best - notch }
  },
})

const recipeFor = ({ name, opens, closes, dose }: Size): Recipe => ({
  ...standardRecipes[name],
  window: { opens, closes },
  dose,
})

const foretoldBy = ({ seconds, chance }: Outlook): Foretold => ({
  low: seconds.low,
  high: seconds.high,
  chance: chance.inWindow,
})

/** What the barista hears: the bar's own way of asking, judgement and all. */
const asSpoken =
  (largerMoves: boolean) =>
  ({ bar }: Truth): Policy => {
    let belief = beginBelief(0)
    return {
      after: ({ told, spraying, size, hand, notch, at, purgeSaid, dose, idle, longer }) => {
        const recipe = recipeFor(size)
        belief = observeShot(belief, {
          seconds: told,
          notch,
          at,
          purged: purgeSaid,
          looks: spraying ? ['spraying'] : [],
          recipe,
          ...(bar.hands.length > 1 && { person: hand + 1 }),
          ...(bar.doseSaid && { dose: { grams: dose, recipeGrams: recipe.dose } }),
          ...(longer !== 0 && { yield: { grams: 40 * Math.exp(longer), recipeGrams: 40 } }),
          idle,
        })
        const judgement = judge({
          seconds: told,
          window: recipe.window,
          looks: spraying ? ['spraying'] : [],
          tastes: [],
          steadiness: steadiness(belief),
          grind: belief.last?.mixed ? 'mixed' : 'settled',
          handOff: 'running',
        })
        const options = { at: at + 60, notch, largerMoves }
        const advice = advise(belief, recipe, { ...options, judgement })
        const step = nextStep(judgement, advice)
        const after = belief
        return {
          move: step.notches,
          foretold: (next, by) => {
            if (next === size && by === hand) return foretoldBy(advice.outlook)
            const person = bar.hands.length > 1 ? { person: by + 1 } : {}
            return foretoldBy(outlook(after, recipeFor(next), { ...options, ...person }, step.notches))
          },
        }
      },
      purged: (notch, at) => {
        belief = observePurge(belief, { notch, at })
      },
      nextDay: (at) => {
        belief = carryOver(belief, 'new day', at)
      },
    }
  }

export const policies = {
  spoken: asSpoken(false),
  plain,
  twoMisses,
  proportional,
  weighted: weighted(),
  limit: clairvoyant,
} satisfies Record<string, (truth: Truth) => Policy>
export type PolicyName = keyof typeof policies
export const rivals = ['plain', 'twoMisses', 'proportional', 'weighted'] as const
