import type { ActionKind, Look, ReasonSentence, Taste } from './judgement.ts'

/** One shot in the words of the decision table. */
export interface Situation {
  /** 'early' and 'late' are in the window, near its ends */
  readonly time: 'far too fast' | 'fast' | 'early' | 'middle' | 'late' | 'slow' | 'far too slow'
  readonly crema: 'seen' | 'missing' | 'foamy'
  /** 'late first drip': the puck held the water back for long */
  readonly flow: Exclude<Look, 'no crema' | 'foamy'> | 'late first drip' | 'not said'
  readonly taste: Taste | 'sour and bitter' | 'not said'
  readonly steadiness: 'steady' | 'scattered' | 'unknown'
  readonly grind: 'settled' | 'mixed'
  readonly beans: 'fresh' | 'ready' | 'old' | 'unknown'
  readonly handOff: 'running' | 'served' | 'expired'
}

/** Every value that each part of a situation can have. */
export const situations: { readonly [Name in keyof Situation]: readonly Situation[Name][] } = {
  time: ['far too fast', 'fast', 'early', 'middle', 'late', 'slow', 'far too slow'],
  crema: ['seen', 'missing', 'foamy'],
  flow: [
    'even',
    'choked',
    'dark drips',
    'gushing',
    'pale',
    'blond early',
    'one side',
    'spraying',
    'late first drip',
    'not said',
  ],
  taste: ['good', 'sour', 'bitter', 'burnt', 'gritty', 'thin', 'flat', 'sour and bitter', 'not said'],
  steadiness: ['steady', 'scattered', 'unknown'],
  grind: ['settled', 'mixed'],
  beans: ['fresh', 'ready', 'old', 'unknown'],
  handOff: ['running', 'served', 'expired'],
}

export type Conditions = { readonly [Name in keyof Situation]?: readonly Situation[Name][] }

export interface Rule {
  readonly when: Conditions
  readonly action: ActionKind
  readonly because: ReasonSentence
  /** how it looked or tasted asks for the move, so the clock is not asked whether to make it */
  readonly sure?: true
}

const tooFast = ['far too fast', 'fast'] as const
const tooSlow = ['slow', 'far too slow'] as const
const inWindow = ['early', 'middle', 'late'] as const
/** The tongue is asked about a cup that was drunk in time. One that stood turns, and says nothing of the shot. */
const tasted = ['running', 'served'] as const

/**
 * What to do after a shot: common practice, in the order in which a barista would think of it. The first rule that
 * fits decides (hit policy "first" of the Decision Model and Notation standard, OMG DMN). `checkDecisionTable`
 * proves that every situation meets a rule and that every rule is met.
 *
 * The time is mended with the grind alone: fill and tamp are not touched unless times scatter or water broke
 * through. In the middle of the window, taste is mended with yield, heat or beans; near its ends a notch that stays
 * inside it comes first. Where time and taste contradict each other (slow and sour, fast and bitter), water found a
 * path through the puck, and no grind mends that.
 */
export const decisionTable: readonly Rule[] = [
  // the time says nothing of the grind
  { when: { grind: ['mixed'] }, action: 'purge', because: 'reason.mixed-grind' },
  { when: { flow: ['choked'] }, action: 'coarser', because: 'reason.choked', sure: true },
  { when: { flow: ['spraying'] }, action: 'even bed', because: 'reason.spraying' },
  { when: { flow: ['one side'] }, action: 'even bed', because: 'reason.one-side' },
  {
    when: { flow: ['late first drip'], time: ['fast'] },
    action: 'even bed',
    because: 'reason.held-then-broke',
  },

  // beans that are full of gas foam, gush and jump about
  {
    when: { crema: ['foamy'], beans: ['fresh'], time: [...tooFast, ...inWindow] },
    action: 'rest beans',
    because: 'reason.foamy-fresh',
  },
  {
    when: { flow: ['gushing'], beans: ['fresh'], time: ['fast', ...inWindow] },
    action: 'rest beans',
    because: 'reason.gushing-fresh',
  },

  // no crema
  { when: { crema: ['missing'], time: tooSlow }, action: 'coarser', because: 'reason.no-crema-slow' },
  { when: { crema: ['missing'], time: tooFast }, action: 'finer', because: 'reason.no-crema-fast' },
  { when: { crema: ['missing'], beans: ['old'] }, action: 'check beans', because: 'reason.no-crema-old' },
  { when: { crema: ['missing'], beans: ['unknown'] }, action: 'check beans', because: 'reason.no-crema' },
  // neither time nor beans: very fresh beans foam more, not less
  { when: { crema: ['missing'] }, action: 'flush', because: 'reason.no-crema-flush' },

  // far out: nothing else counts until the time is near
  { when: { time: ['far too fast'] }, action: 'finer', because: 'reason.far-too-fast' },
  { when: { time: ['far too slow'] }, action: 'coarser', because: 'reason.far-too-slow' },

  // time and tongue contradict each other, or the tongue itself
  {
    when: { taste: ['sour and bitter'], handOff: tasted },
    action: 'even bed',
    because: 'reason.sour-and-bitter',
  },
  {
    when: { time: ['slow'], taste: ['sour', 'thin'], handOff: tasted },
    action: 'even bed',
    because: 'reason.slow-sour',
  },
  {
    when: { time: ['fast'], taste: ['bitter'], handOff: tasted },
    action: 'even bed',
    because: 'reason.fast-bitter',
  },
  { when: { time: ['fast'], taste: ['burnt'], handOff: tasted }, action: 'flush', because: 'reason.burnt' },

  // out of the window: the grind, unless the times jump about
  {
    when: { steadiness: ['scattered'], beans: ['fresh'] },
    action: 'rest beans',
    because: 'reason.scattered-fresh',
  },
  {
    when: { time: ['fast', 'slow'], steadiness: ['scattered'] },
    action: 'technique',
    because: 'reason.scattered',
  },
  { when: { time: ['fast'] }, action: 'finer', because: 'reason.fast' },
  { when: { time: ['slow'] }, action: 'coarser', because: 'reason.slow' },

  // in the window from here on; a cup that stood too long is gone, and its taste says nothing
  { when: { handOff: ['expired'] }, action: 'remake', because: 'reason.expired' },

  // near an end of the window, with a taste that agrees: a notch that stays inside it
  { when: { time: ['early'], taste: ['thin'] }, action: 'finer', because: 'reason.early-thin', sure: true },
  {
    when: { time: ['early'], taste: ['sour'], beans: ['ready', 'old', 'unknown'] },
    action: 'finer',
    because: 'reason.early-sour',
    sure: true,
  },
  {
    when: { time: ['late'], taste: ['bitter', 'burnt'] },
    action: 'coarser',
    because: 'reason.late-bitter',
    sure: true,
  },
  {
    when: { time: ['late'], taste: ['sour'], beans: ['ready', 'old', 'unknown'] },
    action: 'even bed',
    because: 'reason.slow-sour',
  },
  { when: { time: ['early'], taste: ['bitter'] }, action: 'even bed', because: 'reason.fast-bitter' },

  // taste
  { when: { taste: ['sour'], beans: ['fresh'] }, action: 'rest beans', because: 'reason.sour-fresh' },
  { when: { taste: ['sour'], flow: ['pale', 'gushing'] }, action: 'warm up', because: 'reason.sour-pale' },
  { when: { taste: ['sour'] }, action: 'more yield', because: 'reason.sour' },
  { when: { taste: ['bitter'] }, action: 'less yield', because: 'reason.bitter' },
  { when: { taste: ['burnt'] }, action: 'flush', because: 'reason.burnt' },
  { when: { taste: ['gritty'] }, action: 'check grinder', because: 'reason.gritty' },
  { when: { taste: ['thin'] }, action: 'less yield', because: 'reason.thin' },
  { when: { taste: ['flat'] }, action: 'check beans', because: 'reason.flat' },

  // tasting good or not tasted: the look, then the hand
  { when: { flow: ['gushing'] }, action: 'even bed', because: 'reason.gushing-in-window' },
  { when: { flow: ['dark drips'] }, action: 'even bed', because: 'reason.drips-in-window' },
  {
    when: { flow: ['blond early'], taste: ['not said'] },
    action: 'less yield',
    because: 'reason.blond-early',
  },
  { when: { flow: ['pale'], taste: ['not said'] }, action: 'less yield', because: 'reason.pale' },
  { when: { crema: ['foamy'], beans: ['unknown'] }, action: 'check beans', because: 'reason.foamy' },
  { when: { steadiness: ['scattered'] }, action: 'technique', because: 'reason.scattered' },

  // nothing to mend
  { when: {}, action: 'leave', because: 'reason.in-window' },
]

/** A shot is never served when it meets any of these, whatever else is said of it: common practice. */
export const neverServe: readonly Conditions[] = [
  { crema: ['missing'] },
  { flow: ['gushing'] },
  { flow: ['choked'] },
  { handOff: ['expired'] },
  { time: ['far too fast', 'far too slow'] },
]
