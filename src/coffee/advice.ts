import {
  foretell,
  scatterOf,
  summarise,
  type Air,
  type Estimate,
  type GrinderBelief,
} from './grinderBelief.ts'
import { standardModel, type GrinderModel } from './grinderModel.ts'
import type { ActionKind, ActionSentence, ReasonSentence } from './judgement.ts'
import { mixtureBelow, mixtureQuantile, normalBelow } from './normal.ts'
import { OutOfRange } from './outOfRange.ts'
import { checkWindow, type Recipe, type Window } from './recipe.ts'

export interface AdviceOptions {
  /** seconds; the next shot is thought to be pulled now */
  readonly at: number
  /** where the grinder stands, notches; higher is finer */
  readonly notch: number
  /** settings the grinder has; no limits when left out */
  readonly notchRange?: NotchRange
  /** the house rule is one notch at a time; true lets the adviser go further when it is sure */
  readonly largerMoves: boolean
  readonly air?: Air
}

interface NotchRange {
  readonly lowest: number
  readonly highest: number
}

/** One move with what it would bring, supposing that the old grounds are cleared after a move. */
export interface Outlook {
  /** positive is finer */
  readonly notches: number
  /** time of the next shot, seconds: median and 90 % interval */
  readonly seconds: Estimate
  /** chances that the next shot is early, in the window, late; they add up to 1 */
  readonly chance: { readonly fast: number; readonly inWindow: number; readonly slow: number }
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

/** When the adviser speaks up. Tuned on the simulated bench (`npm run bench -- adviser`). */
const policy = {
  /** largest move ever advised, notches */
  largestMove: 10,
  /** a move must lead to a chance to land that is better by at least this much */
  gain: 0.12,
  /** or, while little is known and every chance is small, now be less than this part of the best */
  poorChance: 0.5,
  /** a larger move must overshoot the window with no more than this chance */
  overshoot: 0.4,
  /** above this chance the reason given for leaving is that the chance is good */
  goodChance: 0.6,
  /** above this chance the last shot is called a slip of the hand */
  likelyFault: 0.5,
}

/**
 * What the next shot will be after a move, supposing that the old grounds are cleared.
 * @throws OutOfRange
 */
export function outlook(
  belief: GrinderBelief,
  window: Window,
  options: AdviceOptions,
  notches: number,
  model: GrinderModel = standardModel,
): Outlook {
  checkWindow(window)
  const { parts, chance } = chances(belief, window, options, notches, model)
  const quantile = (below: number): number => Math.exp(mixtureQuantile(parts, below))
  return { notches, seconds: { mean: quantile(0.5), low: quantile(0.05), high: quantile(0.95) }, chance }
}

function chances(
  belief: GrinderBelief,
  window: Window,
  options: AdviceOptions,
  notches: number,
  model: GrinderModel,
) {
  const { at, notch, air } = options
  const parts = foretell(belief, { at, notch: notch + notches, ...(air && { air }) }, model)
  const fast = mixtureBelow(parts, Math.log(window.opens))
  const slow = 1 - mixtureBelow(parts, Math.log(window.closes))
  return { parts, chance: { fast, inWindow: 1 - fast - slow, slow } }
}

/** Moves that the grinder has, coarsest first, no longer than `longest`. */
function movesOf({ notch, notchRange }: AdviceOptions, longest: number): readonly number[] {
  return Array.from({ length: 2 * longest + 1 }, (_, index) => index - longest).filter(
    (move) =>
      !notchRange || (notch + move >= notchRange.lowest && notch + move <= notchRange.highest) || move === 0,
  )
}

function checkOptions({ notch, notchRange }: AdviceOptions): void {
  if (!notchRange) return
  if (!(notchRange.lowest <= notchRange.highest))
    throw new OutOfRange('lowest notch', notchRange.lowest, -Infinity, notchRange.highest, '')
  if (notch < notchRange.lowest || notch > notchRange.highest)
    throw new OutOfRange('notch', notch, notchRange.lowest, notchRange.highest, '')
}

/**
 * Which move to make before the next shot, and why. The aim is the setting at which the chance to land is best;
 * under the house rule the grind walks there one notch at a time. It is left alone when a move would gain little.
 * @throws OutOfRange
 */
export function advise(
  belief: GrinderBelief,
  recipe: Recipe,
  options: AdviceOptions,
  model: GrinderModel = standardModel,
): Advice {
  const { window } = recipe
  checkWindow(window)
  checkOptions(options)
  const moves = movesOf(options, policy.largestMove).map((notches) => ({
    notches,
    chance: chances(belief, window, options, notches, model).chance,
  }))
  const chanceOf = (notches: number) =>
    moves.find((move) => move.notches === notches)?.chance ?? { fast: 0, inWindow: 0, slow: 0 }
  const target = moves.reduce((best, move) =>
    move.chance.inWindow > best.chance.inWindow ? move : best,
  ).notches

  const wanted = belief.learnt === 0 ? 0 : stepTowards(target, options.largerMoves, chanceOf)
  const best = chanceOf(target).inWindow
  const now = chanceOf(0).inWindow
  const notches = best - now >= policy.gain || now < best * policy.poorChance ? wanted : 0
  const advised = outlook(belief, window, options, notches, model)
  const asItStands = outlook(belief, window, options, 0, model)
  const shotsToWindow = expectedShots(notches, target, options.largerMoves, chanceOf, belief, window)
  return {
    notches,
    action: notches === 0 ? 'leave' : notches > 0 ? 'finer' : 'coarser',
    sentence: moveSentence(notches),
    reason: reasonFor(belief, window, options, notches, asItStands),
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
    needsPurge: belief.notch !== null && belief.notch !== options.notch + notches,
  }
}

type ChanceOf = (notches: number) => Outlook['chance']

/** One step of the walk to the target: a single notch, or as far as the risk of overshooting allows. */
function stepTowards(target: number, largerMoves: boolean, chanceOf: ChanceOf): number {
  const direction = Math.sign(target)
  if (!largerMoves || target === 0) return direction
  const overshoot = (notches: number): number =>
    direction > 0 ? chanceOf(notches).slow : chanceOf(notches).fast
  let step = target
  while (Math.abs(step) > 1 && overshoot(step) > policy.overshoot) step -= direction
  return step
}

/**
 * Shots until one lands, counting it, if the walk goes on as planned. Each miss on the way is taken for what it is
 * believed to be now; at the target, when the setting is known, only the scatter is left.
 */
function expectedShots(
  first: number,
  target: number,
  largerMoves: boolean,
  chanceOf: ChanceOf,
  belief: GrinderBelief,
  window: Window,
): number {
  const half = Math.log(window.closes / window.opens) / 2
  const settled = Math.max(2 * normalBelow(half / scatterOf(belief)) - 1, 0.05)
  const walk = [first]
  for (let place = first; place !== target; walk.push(place))
    place = largerMoves ? target : place + Math.sign(target - place)
  return walk.reduceRight((after, place) => 1 + (1 - chanceOf(place).inWindow) * after, 1 / settled)
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
  const { driftPercent } = summarise(belief)
  const expected = asItStands.seconds.mean
  if (notches < 0) {
    if (driftPercent.low > 0) return 'reason.drifted-slower'
    return expected > window.closes ? 'reason.likely-slow' : 'reason.near-slow'
  }
  if (driftPercent.high < 0) return 'reason.drifted-faster'
  return expected < window.opens ? 'reason.likely-fast' : 'reason.near-fast'
}
