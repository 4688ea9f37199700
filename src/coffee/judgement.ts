import { decisionTable, neverServe, type Conditions, type Situation } from './decisionTable.ts'
import { inRange } from './outOfRange.ts'
import { checkWindow, type Window } from './recipe.ts'

/** What a shot looked like on its way out. The same list as the spoken one. */
export const looks = ['even', 'dark drips', 'gushing', 'pale', 'no crema', 'spraying'] as const
export type Look = (typeof looks)[number]

/** What a shot tasted of. The same list as the spoken one. */
export const tastes = ['good', 'sour', 'bitter', 'burnt', 'gritty', 'thin', 'flat'] as const
export type Taste = (typeof tastes)[number]

/** Where a time lies against its window. */
export type TimeBand = 'far too fast' | 'fast' | 'in window' | 'slow' | 'far too slow'

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

/** Keys of grammar/<language>/sentences.json that say what to do. */
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

/** Keys of grammar/<language>/sentences.json that say why. */
export const reasonSentences = [
  // the decision table's
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
  'reason.no-crema-fast',
  'reason.no-crema-fresh',
  'reason.no-crema-old',
  'reason.sour',
  'reason.sour-fresh',
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

export interface Judgement {
  readonly verdict: TimeBand
  readonly action: ActionKind
  /** says what to do; for the grind, a move of one notch, which the adviser may change */
  readonly sentence: ActionSentence
  /** says why */
  readonly reason: ReasonSentence
  /** whether this shot may be served */
  readonly serve: boolean
}

/**
 * A time this many times over the window's end is far too slow, and this part of its start far too fast: so that
 * a 35 s double and a 6 s double are well beyond (common practice).
 */
const farBands = { slow: 1.5, fast: 0.5 } as const

/** Days after roasting before which beans are very fresh and after which they are old: common practice, from memory. */
const beanAges = { fresh: 4, old: 28 } as const

/** Where a time lies against a window; both ends are in it. @throws OutOfRange */
export function timeBand(seconds: number, window: Window): TimeBand {
  checkWindow(window)
  inRange('time of the shot', seconds, 0.1, 600, 'seconds')
  if (seconds < window.opens * farBands.fast) return 'far too fast'
  if (seconds < window.opens) return 'fast'
  if (seconds > window.closes * farBands.slow) return 'far too slow'
  return seconds > window.closes ? 'slow' : 'in window'
}

/** Of several things seen or tasted, the one that tells most comes first. */
const tellingFlows = ['spraying', 'gushing', 'dark drips', 'pale', 'even'] as const
const tellingTastes = ['burnt', 'bitter', 'gritty', 'sour', 'thin', 'flat', 'good'] as const

/** A shot's facts in the words of the decision table. @throws OutOfRange for an impossible time, window or age */
function situationOf(facts: ShotFacts): Situation {
  const age = facts.beanAge === undefined ? null : inRange('age of the beans', facts.beanAge, 0, 3650, 'days')
  return {
    time: timeBand(facts.seconds, facts.window),
    crema: facts.looks.includes('no crema') ? 'missing' : 'seen',
    flow: tellingFlows.find((flow) => facts.looks.includes(flow)) ?? 'not said',
    taste: tellingTastes.find((taste) => facts.tastes.includes(taste)) ?? 'not said',
    steadiness: facts.steadiness,
    grind: facts.grind,
    beans: age === null ? 'unknown' : age < beanAges.fresh ? 'fresh' : age > beanAges.old ? 'old' : 'ready',
    handOff: facts.handOff,
  }
}

/** Whether a situation meets every condition of a rule; what a rule does not name does not matter. */
export const meets = (situation: Situation, conditions: Conditions): boolean =>
  (Object.entries(conditions) as [keyof Situation, readonly string[]][]).every(([name, allowed]) =>
    allowed.includes(situation[name]),
  )

/** Judges one shot by the decision table: the first rule that fits decides. @throws OutOfRange */
export function judge(facts: ShotFacts): Judgement {
  const situation = situationOf(facts)
  const rule = decisionTable.find(({ when }) => meets(situation, when))
  // checkDecisionTable and its test make sure that there is one
  if (!rule) throw new Error(`no rule of the decision table fits ${JSON.stringify(situation)}`)
  return {
    verdict: situation.time,
    action: rule.action,
    sentence: rule.say,
    reason: rule.because,
    serve: !neverServe.some((conditions) => meets(situation, conditions)),
  }
}
