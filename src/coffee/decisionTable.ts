import type { ActionKind, ActionSentence, Look, ReasonSentence, Taste, TimeBand } from './judgement.ts'

/** One shot in the words of the decision table. */
export interface Situation {
  readonly time: TimeBand
  readonly crema: 'seen' | 'missing'
  readonly flow: Exclude<Look, 'no crema'> | 'not said'
  readonly taste: Taste | 'not said'
  readonly steadiness: 'steady' | 'scattered' | 'unknown'
  readonly grind: 'settled' | 'mixed'
  readonly beans: 'fresh' | 'ready' | 'old' | 'unknown'
  readonly handOff: 'running' | 'served' | 'expired'
}

/** Every value that each part of a situation can have. */
export const situations: { readonly [Name in keyof Situation]: readonly Situation[Name][] } = {
  time: ['far too fast', 'fast', 'in window', 'slow', 'far too slow'],
  crema: ['seen', 'missing'],
  flow: ['even', 'dark drips', 'gushing', 'pale', 'spraying', 'not said'],
  taste: ['good', 'sour', 'bitter', 'burnt', 'gritty', 'thin', 'flat', 'not said'],
  steadiness: ['steady', 'scattered', 'unknown'],
  grind: ['settled', 'mixed'],
  beans: ['fresh', 'ready', 'old', 'unknown'],
  handOff: ['running', 'served', 'expired'],
}

export type Conditions = { readonly [Name in keyof Situation]?: readonly Situation[Name][] }

export interface Rule {
  readonly when: Conditions
  readonly action: ActionKind
  readonly say: ActionSentence
  readonly because: ReasonSentence
}

/**
 * What to do after a shot: common practice, in the order in which a barista would think of it. The first rule that
 * fits decides (hit policy "first" of the Decision Model and Notation standard, OMG DMN). `checkDecisionTable`
 * proves that every situation meets a rule and that every rule is met.
 *
 * The time is mended with the grind alone: fill and tamp are not touched unless times scatter or water broke
 * through. In the window, taste is mended with yield, water or beans, not with the grind.
 */
export const decisionTable: readonly Rule[] = [
  // the time says nothing of the grind
  { when: { grind: ['mixed'] }, action: 'purge', say: 'action.purge', because: 'reason.mixed-grind' },
  { when: { flow: ['spraying'] }, action: 'even bed', say: 'action.even-bed', because: 'reason.spraying' },

  // no crema
  {
    when: { crema: ['missing'], time: ['far too fast'] },
    action: 'finer',
    say: 'action.finer.one',
    because: 'reason.no-crema-fast',
  },
  {
    when: { crema: ['missing'], time: ['fast'], steadiness: ['steady', 'unknown'] },
    action: 'finer',
    say: 'action.finer.one',
    because: 'reason.no-crema-fast',
  },
  {
    when: { crema: ['missing'], beans: ['fresh'] },
    action: 'rest beans',
    say: 'action.rest-beans',
    because: 'reason.no-crema-fresh',
  },
  {
    when: { crema: ['missing'], beans: ['old'] },
    action: 'check beans',
    say: 'action.check-beans',
    because: 'reason.no-crema-old',
  },
  {
    when: { crema: ['missing'] },
    action: 'check beans',
    say: 'action.check-beans',
    because: 'reason.no-crema',
  },

  // out of the window: the grind, unless it is the hand
  {
    when: { time: ['far too fast'] },
    action: 'finer',
    say: 'action.finer.one',
    because: 'reason.far-too-fast',
  },
  {
    when: { time: ['far too slow'] },
    action: 'coarser',
    say: 'action.coarser.one',
    because: 'reason.far-too-slow',
  },
  {
    when: { time: ['fast', 'slow'], steadiness: ['scattered'] },
    action: 'technique',
    say: 'action.technique',
    because: 'reason.scattered',
  },
  { when: { time: ['fast'] }, action: 'finer', say: 'action.finer.one', because: 'reason.fast' },
  { when: { time: ['slow'] }, action: 'coarser', say: 'action.coarser.one', because: 'reason.slow' },

  // in the window from here on: taste
  {
    when: { taste: ['sour'], beans: ['fresh'] },
    action: 'rest beans',
    say: 'action.rest-beans',
    because: 'reason.sour-fresh',
  },
  {
    when: { taste: ['sour'], flow: ['pale', 'gushing'] },
    action: 'hotter water',
    say: 'action.hotter-water',
    because: 'reason.sour',
  },
  { when: { taste: ['sour'] }, action: 'more yield', say: 'action.more-yield', because: 'reason.sour' },
  { when: { taste: ['bitter'] }, action: 'less yield', say: 'action.less-yield', because: 'reason.bitter' },
  { when: { taste: ['burnt'] }, action: 'cooler water', say: 'action.cooler-water', because: 'reason.burnt' },
  {
    when: { taste: ['gritty'] },
    action: 'check grinder',
    say: 'action.check-grinder',
    because: 'reason.gritty',
  },
  { when: { taste: ['thin'] }, action: 'less yield', say: 'action.less-yield', because: 'reason.thin' },
  { when: { taste: ['flat'] }, action: 'check beans', say: 'action.check-beans', because: 'reason.flat' },

  // in the window, tasting good or not tasted: the look, then the hand
  {
    when: { flow: ['gushing'] },
    action: 'even bed',
    say: 'action.even-bed',
    because: 'reason.gushing-in-window',
  },
  {
    when: { flow: ['dark drips'] },
    action: 'even bed',
    say: 'action.even-bed',
    because: 'reason.drips-in-window',
  },
  {
    when: { flow: ['pale'], taste: ['not said'] },
    action: 'less yield',
    say: 'action.less-yield',
    because: 'reason.pale',
  },
  {
    when: { steadiness: ['scattered'] },
    action: 'technique',
    say: 'action.technique',
    because: 'reason.scattered',
  },

  // nothing to mend
  { when: { handOff: ['expired'] }, action: 'remake', say: 'action.remake', because: 'reason.expired' },
  { when: {}, action: 'leave', say: 'action.leave', because: 'reason.in-window' },
]

/** A shot is never served when it meets any of these: common practice. */
export const neverServe: readonly Conditions[] = [
  { crema: ['missing'] },
  { handOff: ['expired'] },
  { time: ['far too fast', 'far too slow'] },
]
