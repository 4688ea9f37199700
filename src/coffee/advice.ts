import { scatterOf, slopeOf, summarise } from './beliefSummary.ts'
import type { Air, GrinderBelief } from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import { outlooksOf } from './foretell.ts'
import { heldTo } from './heldGrind.ts'
import type { ActionKind, ActionSentence, Judgement, ReasonSentence } from './judgement.ts'
import { casesOf, standingOf, type Case, type OrderShare } from './mixOfOrders.ts'
import { normalBelow } from './normal.ts'
import { anyRecipe } from './observe.ts'
import { carryForward } from './passage.ts'
import { OutOfRange } from './outOfRange.ts'
import { chanceOf, nextShot, outlookAt, type Outlook } from './outlook.ts'
import { worthAfter } from './plan.ts'
import { checkWindow, type Recipe, type Window } from './recipe.ts'

export interface AdviceOptions {
  /** seconds; the next shot is thought to be pulled now */
  readonly at: number
  /** where the grinder stands, notches; higher is finer */
  readonly notch: number
  /** settings the grinder has; no limits when left out */
  readonly notchRange?: NotchRange
  /**
   * Until a shot has landed since the day or the bag began, the adviser goes as far as is best. After that the house
   * rule is one notch at a time; true lets it go further still.
   */
  readonly largerMoves: boolean
  readonly air?: Air
  /** who pulls the next shot, when it is known */
  readonly person?: number
  /** what is ordered on this grinder; from the shots of late when left out */
  readonly orders?: readonly OrderShare[]
  readonly prices?: Prices
  /** what was judged of the last shot: where it holds the grind, or is sure of a notch, so is the advice */
  readonly judgement?: Pick<Judgement, 'action'> & { readonly sure?: boolean }
}

/** What a move and a miss cost a shop, in any unit that both share: grams of coffee, seconds, money. */
export interface Prices {
  /** of a move: the grounds run through, the time, the bother of it */
  readonly move: number
  /** of a shot that misses its window */
  readonly miss: number
}

/** In grams of coffee: a purge and a quarter of a minute against a double, as an ordinary shop might put it. */
export const ordinaryPrices: Prices = { move: 5, miss: 18 }

interface NotchRange {
  readonly lowest: number
  readonly highest: number
}

export interface Advice {
  /** the move advised; 0 is "leave it", positive is finer */
  readonly notches: number
  readonly action: Extract<ActionKind, 'leave' | 'finer' | 'coarser'>
  readonly sentence: ActionSentence
  readonly reason: ReasonSentence
  /** numbers of both sentences, whole and speakable */
  readonly values: SpokenNumbers
  /** what the advised move would bring */
  readonly outlook: Outlook
  /** what leaving it would bring */
  readonly asItStands: Outlook
  /** shots until one lands in the window, counting that one, if the advice is followed */
  readonly shotsToWindow: number
  /** clear the old grounds before the next shot */
  readonly needsPurge: boolean
}

export interface SpokenNumbers {
  /** how far to move, without its direction */
  readonly notches: number
  /** chance that the next shot lands, percent, if the advice is followed */
  readonly chance: number
  /** time expected if nothing is moved */
  readonly seconds: number
  /** 90 % interval of the next time if the advice is followed */
  readonly low: number
  readonly high: number
  readonly shots: number
}

const policy = {
  /** largest move ever advised, notches */
  largestMove: 10,
  /** shots to come for which a setting is chosen */
  horizon: 8,
  /** what a notch is worth in ln(time) on an ordinary scale, at least: common practice */
  ordinaryNotch: 0.09,
  /** above this chance the reason given for leaving is that the chance is good */
  goodChance: 0.6,
  /** above this chance the last shot is called a freak */
  likelyFault: 0.5,
}

/** Moves that the grinder has, coarsest first, no longer than `longest`. */
function movesOf({ notch, notchRange }: AdviceOptions, longest: number): readonly number[] {
  return Array.from({ length: 2 * longest + 1 }, (_, index) => index - longest).filter(
    (move) =>
      !notchRange || (notch + move >= notchRange.lowest && notch + move <= notchRange.highest) || move === 0,
  )
}

function checkOptions({ notch, notchRange, prices }: AdviceOptions): void {
  if (prices) {
    if (!(prices.miss > 0)) throw new OutOfRange('price of a miss', prices.miss, 0, Infinity, '')
    if (!(prices.move >= 0)) throw new OutOfRange('price of a move', prices.move, 0, Infinity, '')
  }
  if (!notchRange) return
  if (!(notchRange.lowest <= notchRange.highest))
    throw new OutOfRange('lowest notch', notchRange.lowest, -Infinity, notchRange.highest, '')
  if (notch < notchRange.lowest || notch > notchRange.highest)
    throw new OutOfRange('notch', notch, notchRange.lowest, notchRange.highest, '')
}

/** The house rule: one notch. On a scale much finer than ordinary, as many as make up an ordinary notch. */
const notchesInService = (belief: GrinderBelief): number =>
  Math.max(1, Math.floor(policy.ordinaryNotch / slopeOf(belief)))

/** Whether a shot of the recipe in use, or of any that is known, has landed since the day or the bag began. */
function hasLanded(belief: GrinderBelief, recipe: Recipe): boolean {
  return belief.recent.some(({ seconds, recipe: name }) => {
    const window = name === anyRecipe || name === recipe.name ? recipe.window : belief.recipes[name]?.window
    return window !== undefined && seconds >= window.opens && seconds <= window.closes
  })
}

/** Which way the last shot missed its own window: 1 slow, -1 fast, 0 not. */
function lastMiss({ last, recipes }: GrinderBelief, recipe: Recipe): number {
  if (!last) return 0
  const window =
    last.recipe === anyRecipe || last.recipe === recipe.name ? recipe.window : recipes[last.recipe]?.window
  if (!window) return 0
  return last.seconds < window.opens ? -1 : last.seconds > window.closes ? 1 : 0
}

/** The best move for the shots to come: what the next shot is worth, and what is worth doing once it is seen. */
function bestMove(
  belief: GrinderBelief,
  recipe: Recipe,
  options: AdviceOptions,
  cases: readonly Case[],
  longest: number,
): { notches: number; aim: number } {
  const { notch, prices = ordinaryPrices } = options
  const { standing, targets } = standingOf(cases, notch)
  const price = prices.move / prices.miss
  const plan = { move: price, horizon: policy.horizon, longest }
  const aim = targets.reduce((sum, { share, opens, closes }) => sum + (share * (opens + closes)) / 2, 0)
  const missed = lastMiss(belief, recipe)
  const worth = (move: number): number =>
    cases.reduce(
      (sum, { share, window, outlooks }) =>
        sum + share * chanceOf(outlooks.at(notch + move), window).inWindow,
      worthAfter(standing, targets, move, aim, plan),
    ) - (move === 0 ? 0 : price)
  const moves = movesOf(options, longest).filter((move) => move * missed <= 0)
  const valued = moves.map((move) => ({ move, worth: worth(move) }))
  const stay = valued.find(({ move }) => move === 0) ?? { move: 0, worth: -Infinity }
  const notches = valued.reduce((best, each) => (each.worth > best.worth ? each : best), stay).move
  return { notches, aim: Math.round((aim - standing.mean) / Math.max(standing.slope, 0.02)) }
}

/**
 * Which move to make before the next shot, and why: the one that is worth most over the next shots of all that is
 * ordered on this grinder, less what a move costs.
 * @throws OutOfRange
 */
export function advise(
  belief: GrinderBelief,
  recipe: Recipe,
  options: AdviceOptions,
  model: GrinderModel = standardModel,
): Advice {
  const { window } = recipe
  const { notch, judgement } = options
  checkWindow(window)
  checkOptions(options)
  const next = { at: options.at, notch, ...(options.air && { air: options.air }) }
  const here = carryForward(belief, next, model)
  const own = outlooksOf(here, nextShot(belief, recipe, options), model)
  const cases = casesOf(here, recipe, next, options.orders, model)
  const longest =
    options.largerMoves || !hasLanded(belief, recipe) ? policy.largestMove : notchesInService(belief)
  const best = belief.learnt === 0 ? { notches: 0, aim: 0 } : bestMove(here, recipe, options, cases, longest)
  const notches = judged(best.notches, judgement, options)
  const advised = outlookAt(own.at(notch + notches), window, notches)
  const asItStands = notches === 0 ? advised : outlookAt(own.at(notch), window, 0)
  const shotsToWindow = expectedShots(belief, window, advised.chance.inWindow, model)
  return {
    notches,
    action: notches === 0 ? 'leave' : notches > 0 ? 'finer' : 'coarser',
    sentence: moveSentence(notches),
    reason: reasonFor(belief, window, options, notches, asItStands, model),
    values: {
      notches: Math.abs(notches),
      chance: Math.round(100 * advised.chance.inWindow),
      seconds: Math.round(asItStands.seconds.mean),
      low: Math.round(advised.seconds.low),
      high: Math.round(advised.seconds.high),
      shots: Math.round(shotsToWindow),
    },
    outlook: advised,
    asItStands,
    shotsToWindow,
    needsPurge: belief.notch !== null && belief.notch !== notch + notches,
  }
}

/** The move, as far as the judgement of the last shot allows it and the grinder has it. */
function judged(best: number, judgement: AdviceOptions['judgement'], options: AdviceOptions): number {
  if (!judgement) return best
  const held = heldTo(judgement, best)
  return movesOf(options, policy.largestMove).includes(held) ? held : best
}

/**
 * Shots until one lands, counting it: the next as it is foretold, those after it as they land once the setting is
 * known and only the scatter is left.
 */
function expectedShots(belief: GrinderBelief, window: Window, chance: number, model: GrinderModel): number {
  const half = Math.log(window.closes / window.opens) / 2
  const settled = Math.max(2 * normalBelow(half / scatterOf(belief, model)) - 1, 0.05)
  // moves on the way land as the mean of both
  const onTheWay = Math.max((chance + settled) / 2, 0.05)
  return 1 + (1 - chance) / onTheWay
}

export function moveSentence(notches: number): ActionSentence {
  if (notches === 0) return 'action.leave'
  if (notches > 0) return notches === 1 ? 'action.finer.one' : 'action.finer.more'
  return notches === -1 ? 'action.coarser.one' : 'action.coarser.more'
}

function reasonFor(
  belief: GrinderBelief,
  window: Window,
  options: AdviceOptions,
  notches: number,
  asItStands: Outlook,
  model: GrinderModel,
): ReasonSentence {
  const { fast, inWindow, slow } = asItStands.chance
  if (belief.learnt === 0) return 'reason.first-shot'
  if (notches === 0) {
    const missed = belief.last && (belief.last.seconds < window.opens || belief.last.seconds > window.closes)
    if (missed && belief.last.faultChance > policy.likelyFault) return 'reason.fault-likely'
    if (inWindow >= policy.goodChance) return 'reason.chance-good'
    const { notchRange, notch } = options
    if (
      notchRange &&
      ((slow > fast && notch === notchRange.lowest) || (fast > slow && notch === notchRange.highest))
    )
      return 'reason.end-of-range'
    return 'reason.little-to-gain'
  }
  const { driftPercent } = summarise(belief, model)
  const expected = asItStands.seconds.mean
  if (notches < 0) {
    if (driftPercent.low > 0) return 'reason.drifted-slower'
    return expected > window.closes ? 'reason.likely-slow' : 'reason.near-slow'
  }
  if (driftPercent.high < 0) return 'reason.drifted-faster'
  return expected < window.opens ? 'reason.likely-fast' : 'reason.near-fast'
}
