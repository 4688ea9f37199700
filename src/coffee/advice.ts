import type { Air, Estimate, GrinderBelief } from './grinderBelief.ts'
import type { ActionKind, ActionSentence, Judgement, ReasonSentence } from './judgement.ts'
import type { Recipe } from './recipe.ts'

export interface AdviceOptions {
  /** seconds; the next shot is thought to be pulled now */
  readonly at: number
  /** where the grinder stands, notches; higher is finer */
  readonly notch: number
  /** settings the grinder has; no limits when left out */
  readonly notchRange?: { readonly lowest: number; readonly highest: number }
  /** the house rule is one notch at a time; true lets the adviser go further when it is sure */
  readonly largerMoves: boolean
  readonly air?: Air
}

/** One move with what it would bring, supposing that the grinder is purged after a move. */
export interface Outlook {
  /** positive is finer */
  readonly notches: number
  /** time of the next shot, seconds: median and 90 % interval */
  readonly seconds: Estimate
  /** chances that the next shot is early, in the window, late; they add up to 1 */
  readonly chance: { readonly fast: number; readonly inWindow: number; readonly slow: number }
  /** shots until one lands in the window, counting that one */
  readonly shotsToWindow: number
}

export interface Advice {
  /** the move advised; 0 is "leave it", positive is finer */
  readonly notches: number
  readonly action: Extract<ActionKind, 'leave' | 'finer' | 'coarser'>
  readonly sentence: ActionSentence
  readonly reason: ReasonSentence
  /** whole, speakable numbers for both sentences */
  readonly values: SpokenNumbers
  /** the advised move's outlook */
  readonly outlook: Outlook
  /** every move that was weighed, coarsest first */
  readonly outlooks: readonly Outlook[]
  /** clear the old grounds before the next shot */
  readonly needsPurge: boolean
}

export interface SpokenNumbers {
  readonly notches: number
  /** percent */
  readonly chance: number
  readonly seconds: number
  readonly low: number
  readonly high: number
  readonly shots: number
}

/** What the next shot will be after a move. @throws OutOfRange */
export function outlook(
  _belief: GrinderBelief,
  _recipe: Recipe,
  _options: AdviceOptions,
  _notches: number,
): Outlook {
  throw new Error('being written')
}

/** Which move to make before the next shot, and why. @throws OutOfRange */
export function advise(_belief: GrinderBelief, _recipe: Recipe, _options: AdviceOptions): Advice {
  throw new Error('being written')
}

/** The one thing to do next, judged from the shot and, where the grind is meant, measured by the adviser. */
export interface NextStep {
  readonly action: ActionKind
  /** positive is finer; 0 unless the action is 'finer' or 'coarser' */
  readonly notches: number
  readonly sentence: ActionSentence
  readonly reason: ReasonSentence
  readonly values: SpokenNumbers
  readonly serve: boolean
}

/**
 * Joins a judgement and the adviser's answer: a fault of technique, beans or taste comes first; otherwise the
 * adviser's move, but never coarser after a too-fast shot nor finer after a too-slow one.
 */
export function nextStep(_judgement: Judgement, _advice: Advice): NextStep {
  throw new Error('being written')
}
