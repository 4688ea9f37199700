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
 * Joins a judgement and the adviser's answer. A fault of technique, beans or taste comes first, and so does a move
 * that the look or the taste asks for. Where the clock asks for the grind, or finds nothing to do, the adviser has
 * the word: it may leave a miss that looks like noise and may move before the window is lost. Where the times jump
 * about but lie to one side, it is both: the grind moves, and the reason says to mind the hand. But the adviser
 * never goes coarser after a too-fast shot, nor finer after a too-slow one: then the grind is left alone.
 */
export function nextStep(judgement: Judgement, advice: Advice): NextStep {
  const { action, sentence, reason, serve, sure, verdict } = judgement
  const { values } = advice
  const against =
    (advice.notches < 0 && (verdict === 'fast' || verdict === 'far too fast')) ||
    (advice.notches > 0 && (verdict === 'slow' || verdict === 'far too slow'))
  const lopsided = action === 'technique' && advice.notches !== 0 && !against
  if (sure && action === 'finer') return { ...grindMove(1, values), reason, serve }
  if (sure && action === 'coarser') return { ...grindMove(-1, values), reason, serve }
  if (action !== 'leave' && action !== 'finer' && action !== 'coarser' && !lopsided)
    return { action, notches: 0, sentence, reason, values, serve }
  if (lopsided)
    return {
      ...grindMove(advice.notches, values),
      reason: advice.notches < 0 ? 'reason.scattered-slow' : 'reason.scattered-fast',
      serve,
    }
  const notches = against ? 0 : advice.notches
  return {
    ...grindMove(notches, values),
    // a plain miss that is followed by a move needs no more reason than the miss
    reason: against ? 'reason.little-to-gain' : notches !== 0 && action !== 'leave' ? reason : advice.reason,
    serve,
  }
}

const grindMove = (notches: number, values: SpokenNumbers) => ({
  action: notches === 0 ? ('leave' as const) : notches > 0 ? ('finer' as const) : ('coarser' as const),
  notches,
  sentence: moveSentence(notches),
  values: { ...values, notches: Math.abs(notches) },
})
