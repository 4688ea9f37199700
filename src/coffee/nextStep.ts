import { moveSentence, type Advice, type SpokenNumbers } from './advice.ts'
import type { ActionKind, ActionSentence, Judgement, ReasonSentence } from './judgement.ts'

/** The one thing to do next, judged from the shot and, where the grind is meant, measured by the adviser. */
export interface NextStep {
  readonly action: ActionKind
  /** positive is finer; 0 unless the action is 'finer' or 'coarser' */
  readonly notches: number
  readonly sentence: ActionSentence
  readonly reason: ReasonSentence
  /** numbers of both sentences */
  readonly values: SpokenNumbers
  readonly serve: boolean
}

/**
 * Joins a judgement and the adviser's answer. A fault of technique, beans or taste comes first. Where the judgement
 * asks for the grind, or finds nothing to do, the adviser has the word: it may leave a miss that looks like noise
 * and may move before the window is lost. But it never goes coarser after a too-fast shot, nor finer after a
 * too-slow one: then the grind is left alone.
 */
export function nextStep(judgement: Judgement, advice: Advice): NextStep {
  const { action, sentence, reason, serve } = judgement
  const { values } = advice
  if (action !== 'leave' && action !== 'finer' && action !== 'coarser')
    return { action, notches: 0, sentence, reason, values, serve }
  const against =
    (advice.notches < 0 && (judgement.verdict === 'fast' || judgement.verdict === 'far too fast')) ||
    (advice.notches > 0 && (judgement.verdict === 'slow' || judgement.verdict === 'far too slow'))
  const notches = against ? 0 : advice.notches
  return {
    action: notches === 0 ? 'leave' : advice.action,
    notches,
    sentence: moveSentence(notches),
    // a plain miss that is followed by a move needs no more reason than the miss
    reason: against ? 'reason.little-to-gain' : notches !== 0 && action !== 'leave' ? reason : advice.reason,
    values: { ...values, notches: Math.abs(notches) },
    serve,
  }
}
