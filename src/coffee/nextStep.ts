import { moveSentence, type Advice, type SpokenNumbers } from './advice.ts'
import { heldTo } from './heldGrind.ts'
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
 * Joins a judgement and the adviser's answer. The move is the adviser's, within what the judgement allows: given the
 * judgement, the adviser answers the same. Where the grind moves, that is the step; where it does not, the judgement
 * says what to mend instead, if anything. Where the times jump about but lie to one side, it is both: the grind moves,
 * and the reason says to mind the hand.
 */
export function nextStep(judgement: Judgement, advice: Advice): NextStep {
  const { action, sentence, reason, serve, sure } = judgement
  const atTheEnd = advice.notches === 0 && advice.reason === 'reason.end-of-range'
  const notches = atTheEnd ? 0 : heldTo(judgement, advice.notches)
  const values = { ...advice.values, notches: Math.abs(notches) }
  if (notches === 0) {
    const meansGrind = action === 'finer' || action === 'coarser' || action === 'leave'
    return meansGrind
      ? { action: 'leave', notches, sentence: moveSentence(0), reason: advice.reason, values, serve }
      : { action, notches, sentence, reason, values, serve }
  }
  const direction = notches > 0 ? 'finer' : 'coarser'
  const why = (): ReasonSentence => {
    if (action === 'technique') return notches < 0 ? 'reason.scattered-slow' : 'reason.scattered-fast'
    // a plain miss that is followed by a move needs no more reason than the miss
    return sure || action === direction ? reason : advice.reason
  }
  return { action: direction, notches, sentence: moveSentence(notches), reason: why(), values, serve }
}
