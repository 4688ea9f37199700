import { decisionTable, neverServe, type Conditions, type Situation } from './decisionTable.ts'
import { inRange } from './outOfRange.ts'
import { checkWindow, type Window } from './recipe.ts'

/** What a shot looked like on its way out. The same list as the spoken one. */
export const looks = [
  'even',
  'dark drips',
  'gushing',
  'pale',
  'no crema',
  'spraying',
  'choked',
  'blond early',
  'one side',
  'foamy',
] as const
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
  /** seconds from pump on to the first drip */
  readonly firstDrip?: number
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
  'warm up',
  'flush',
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
  'action.warm-up',
  'action.flush',
  'action.check-beans',
  'action.rest-beans',
  'action.check-grinder',
  'action.remake',
] as const
export type ActionSentence = (typeof actionSentences)[number]

/** Keys of grammar/<language>/sentences.json that say why. */
export const reasonSentences = [
  // the decision table's
  'reason.mixed-grind',
  'reason.choked',
  'reason.spraying',
  'reason.one-side',
  'reason.held-then-broke',
  'reason.foamy-fresh',
  'reason.gushing-fresh',
  'reason.no-crema-slow',
  'reason.no-crema-fast',
  'reason.no-crema-old',
  'reason.no-crema',
  'reason.no-crema-flush',
  'reason.far-too-fast',
  'reason.far-too-slow',
  'reason.sour-and-bitter',
  'reason.slow-sour',
  'reason.fast-bitter',
  'reason.burnt',
  'reason.scattered-fresh',
  'reason.scattered',
  'reason.fast',
  'reason.slow',
  'reason.expired',
  'reason.early-thin',
  'reason.early-sour',
  'reason.late-bitter',
  'reason.sour-fresh',
  'reason.sour-pale',
  'reason.sour',
  'reason.bitter',
  'reason.gritty',
  'reason.thin',
  'reason.flat',
  'reason.gushing-in-window',
  'reason.drips-in-window',
  'reason.blond-early',
  'reason.pale',
  'reason.foamy',
  'reason.in-window',
  // scattered, and all on one side
  'reason.scattered-slow',
  'reason.scattered-fast',
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
  /** the grind is meant because of the look or the taste: one notch, whatever the clock says */
  readonly sure: boolean
  /** whether this shot may be served */
  readonly serve: boolean
}

/**
 * A time this many times over the window's end is far too slow, and this part of its start far too fast: a double
 * under 12 s or over 28 s is binned (common practice).
 */
const farBands = { slow: 1.3, fast: 0.7 } as const

/** This part of the window at either end is near the end: 17 to 18 s and 21 to 22 s of a double. From memory. */
const nearAnEnd = 0.2

/**
 * A first drip later than this part of the time at which the window opens is late: 9.4 s of a double. From memory;
 * common practice looks for it after 4 to 8 s.
 */
const lateFirstDrip = 0.55

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

/** Where a time lies, with the window's ends told from its middle. */
function timeOf(band: TimeBand, seconds: number, { opens, closes }: Window): Situation['time'] {
  if (band !== 'in window') return band
  const near = (closes - opens) * nearAnEnd
  return seconds < opens + near ? 'early' : seconds > closes - near ? 'late' : 'middle'
}

/** Of several things seen or tasted, the one that says most comes first. */
const tellingFlows = [
  'choked',
  'spraying',
  'one side',
  'gushing',
  'dark drips',
  'blond early',
  'pale',
  'even',
] as const
const tellingTastes = ['burnt', 'bitter', 'gritty', 'sour', 'thin', 'flat', 'good'] as const

function tasteOf(said: readonly Taste[]): Situation['taste'] {
  if (said.includes('sour') && said.includes('bitter')) return 'sour and bitter'
  return tellingTastes.find((taste) => said.includes(taste)) ?? 'not said'
}

function flowOf({ looks: said, firstDrip, window }: ShotFacts): Situation['flow'] {
  const flow = tellingFlows.find((each) => said.includes(each)) ?? 'not said'
  const late = firstDrip !== undefined && firstDrip > window.opens * lateFirstDrip
  return late && (flow === 'not said' || flow === 'even') ? 'late first drip' : flow
}

/** A shot's facts in the words of the decision table. @throws OutOfRange for an impossible time, window or age */
function situationOf(facts: ShotFacts): Situation {
  const age = facts.beanAge === undefined ? null : inRange('age of the beans', facts.beanAge, 0, 3650, 'days')
  return {
    time: timeOf(timeBand(facts.seconds, facts.window), facts.seconds, facts.window),
    crema: facts.looks.includes('no crema') ? 'missing' : facts.looks.includes('foamy') ? 'foamy' : 'seen',
    flow: flowOf(facts),
    taste: tasteOf(facts.tastes),
    steadiness: facts.steadiness,
    grind: facts.grind,
    beans: age === null ? 'unknown' : age < beanAges.fresh ? 'fresh' : age > beanAges.old ? 'old' : 'ready',
    handOff: facts.handOff,
  }
}

/** Whether a situation meets every condition of a rule; what a rule does not name does not matter. */
export function meets(situation: Situation, conditions: Conditions): boolean {
  for (const name in conditions) {
    const allowed: readonly string[] | undefined = conditions[name as keyof Conditions]
    if (allowed && !allowed.includes(situation[name as keyof Situation])) return false
  }
  return true
}

/** Whether a shot may be served. Every look that was said counts here, not only the one that says most. */
function mayBeServed(situation: Situation, said: readonly Look[]): boolean {
  const flows = [situation.flow, ...tellingFlows.filter((flow) => said.includes(flow))]
  return !neverServe.some((conditions) => flows.some((flow) => meets({ ...situation, flow }, conditions)))
}

const sentenceOf: { readonly [Action in ActionKind]: ActionSentence } = {
  leave: 'action.leave',
  finer: 'action.finer.one',
  coarser: 'action.coarser.one',
  purge: 'action.purge',
  'even bed': 'action.even-bed',
  technique: 'action.technique',
  'more yield': 'action.more-yield',
  'less yield': 'action.less-yield',
  'warm up': 'action.warm-up',
  flush: 'action.flush',
  'check beans': 'action.check-beans',
  'rest beans': 'action.rest-beans',
  'check grinder': 'action.check-grinder',
  remake: 'action.remake',
}

/** Judges one shot by the decision table: the first rule that fits decides. @throws OutOfRange */
export function judge(facts: ShotFacts): Judgement {
  const situation = situationOf(facts)
  const rule = decisionTable.find(({ when }) => meets(situation, when))
  // checkDecisionTable and its test make sure that there is one
  if (!rule) throw new Error(`no rule of the decision table fits ${JSON.stringify(situation)}`)
  return {
    verdict: timeBand(facts.seconds, facts.window),
    action: rule.action,
    sentence: sentenceOf[rule.action],
    reason: rule.because,
    sure: rule.sure ?? false,
    serve: mayBeServed(situation, facts.looks),
  }
}
