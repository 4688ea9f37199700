import type { Window } from './recipe.ts'

/** How a trainee did: the score, whether it is enough, and a sentence with its numbers. */
export interface DrillScore {
  readonly score: number
  readonly unit: 'percent' | 'seconds' | 'shots' | 'newtons'
  readonly passed: boolean
  readonly sentence: DrillSentence
  readonly values: Readonly<Record<string, number>>
}

export const drillSentences = [
  'score.fast.passed',
  'score.fast.failed',
  'score.slow.passed',
  'score.slow.failed',
  'score.find.passed',
  'score.find.failed',
  'score.tamp.passed',
  'score.tamp.light',
  'score.tamp.heavy',
  'score.tamp.uneven',
  'score.dose.passed',
  'score.dose.light',
  'score.dose.heavy',
  'score.dose.uneven',
  'score.taste.passed',
  'score.taste.failed',
] as const
export type DrillSentence = (typeof drillSentences)[number]

/** A shot made fast on purpose: passed when it ends before the window opens. @throws OutOfRange */
export function scoreFastShot(_seconds: number, _window: Window): DrillScore {
  throw new Error('being written')
}

/** A shot made slow on purpose: passed when it ends after the window closes. @throws OutOfRange */
export function scoreSlowShot(_seconds: number, _window: Window): DrillScore {
  throw new Error('being written')
}

/** Finding the window: the times of the shots pulled, the last hits. Passed within `most` shots. @throws OutOfRange */
export function scoreFindWindow(_times: readonly number[], _window: Window, _most?: number): DrillScore {
  throw new Error('being written')
}

/** A series of tamps on a scale, newtons each: bias against the target, and spread. @throws OutOfRange */
export function scoreTamps(_newtons: readonly number[], _target?: number): DrillScore {
  throw new Error('being written')
}

/** A series of doses, grams each. @throws OutOfRange */
export function scoreDoses(_grams: readonly number[], _target: number): DrillScore {
  throw new Error('being written')
}

/** Blind tasting, fresh against rested: how many of how many cups were named rightly. @throws OutOfRange */
export function scoreTasting(_right: number, _cups: number): DrillScore {
  throw new Error('being written')
}
