import type { Window } from './recipe.ts'

/** What a shot looked like on its way out. The same list as the spoken one. */
export const looks = ['even', 'dark drips', 'gushing', 'pale', 'no crema', 'spraying'] as const
export type Look = (typeof looks)[number]

/** What a shot tasted of. The same list as the spoken one. */
export const tastes = ['good', 'sour', 'bitter', 'burnt', 'gritty', 'thin', 'flat'] as const
export type Taste = (typeof tastes)[number]

/** Where a time lies against its window. */
export const timeBands = ['far too fast', 'fast', 'in window', 'slow', 'far too slow'] as const
export type TimeBand = (typeof timeBands)[number]

/** All that is known of one shot when it is judged. What was not said is left out. */
export interface ShotFacts {
  /** from pump on to pump off, seconds */
  readonly seconds: number
  readonly window: Window
  readonly looks: readonly Look[]
  readonly tastes: readonly Taste[]
  /** whether recent times at one setting agree; see `steadiness` in grinderBelief.ts */
  readonly steadiness: 'steady' | 'scattered' | 'unknown'
  /** 'mixed': the grind was moved and this dose still held old grounds */
  readonly grind: 'settled' | 'mixed'
  /** days since the roast date */
  readonly beanAge?: number
  /** the shot's hand-off clock */
  readonly handOff: 'running' | 'served' | 'expired'
}

/** What to do about the next shot. 'finer' and 'coarser' give the direction; the adviser says how far. */
export const actionKinds = [
  'leave',
  'finer',
  'coarser',
  'purge',
  'even bed',
  'technique',
  'more yield',
  'less yield',
  'hotter water',
  'cooler water',
  'check beans',
  'rest beans',
  'check grinder',
  'remake',
] as const
export type ActionKind = (typeof actionKinds)[number]

export interface Judgement {
  readonly verdict: TimeBand
  readonly action: ActionKind
  /** sentence that says what to do; has {notches} for 'finer' and 'coarser' when it is not one */
  readonly sentence: ActionSentence
  /** sentence that says why */
  readonly reason: ReasonSentence
  /** whether this shot may be served */
  readonly serve: boolean
}

/** Keys of grammar/<language>/sentences.json. A test holds the two together. */
export const actionSentences = [
  'action.leave',
  'action.finer.one',
  'action.finer.more',
  'action.coarser.one',
  'action.coarser.more',
  'action.purge',
  'action.even-bed',
  'action.technique',
  'action.more-yield',
  'action.less-yield',
  'action.hotter-water',
  'action.cooler-water',
  'action.check-beans',
  'action.rest-beans',
  'action.check-grinder',
  'action.remake',
] as const
export type ActionSentence = (typeof actionSentences)[number]

export const reasonSentences = [
  'reason.in-window',
  'reason.fast',
  'reason.far-too-fast',
  'reason.slow',
  'reason.far-too-slow',
  'reason.scattered',
  'reason.spraying',
  'reason.mixed-grind',
  'reason.expired',
  'reason.no-crema',
  'reason.no-crema-fresh',
  'reason.no-crema-old',
  'reason.sour',
  'reason.bitter',
  'reason.burnt',
  'reason.gritty',
  'reason.thin',
  'reason.flat',
  'reason.pale',
  'reason.gushing-in-window',
  'reason.drips-in-window',
  // the adviser's
  'reason.first-shot',
  'reason.chance-good',
  'reason.little-to-gain',
  'reason.fault-likely',
  'reason.drifted-slower',
  'reason.drifted-faster',
  'reason.likely-slow',
  'reason.likely-fast',
  'reason.near-slow',
  'reason.near-fast',
  'reason.end-of-range',
] as const
export type ReasonSentence = (typeof reasonSentences)[number]

/** Judges one shot by the decision table. @throws OutOfRange for an impossible time, window or age */
export function judge(_facts: ShotFacts): Judgement {
  throw new Error('being written')
}
