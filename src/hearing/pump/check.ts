import type { PauseRule } from './follower.ts'
import { learnPump, runsIn, type PreparedShot } from './learn.ts'

/** What came of a shot that the model was not told of. */
export interface Checked {
  /** one run was heard in it, near enough at both ends */
  isRight: boolean
  /** the word against what was heard, seconds: positive when the word came later; null where nothing was heard */
  late: { onset: number; end: number } | null
  /** runs long enough for a shot where there was none */
  falseRuns: number
}

/** Seconds by which a heard onset or end may be off the word, on top of how this person usually is. */
const near = 0.5
/** Seconds a run must last to be taken for a shot. */
export const shortestShot = 8

/**
 * Leaves each shot out in turn, learns from the others, and looks whether it is heard where it was said to be
 * (cross-validation: Stone, J. Royal Statistical Society B 36, 1974).
 */
export function leaveOneOut(shots: readonly PreparedShot[], pauseRule: PauseRule): Checked[] {
  const heard = shots.map((shot, out) => {
    const model = learnPump(shots.filter((_, at) => at !== out))
    const runs = runsIn(shot, model, pauseRule)
    const word = shot.said
    const within = runs.filter(({ onset, end }) => onset < word.end - 1 && end > word.onset + 1)
    const falseRuns = runs.filter(
      (run) => !within.includes(run) && run.end - run.onset >= shortestShot,
    ).length
    const [only] = within
    const late =
      only !== undefined && within.length === 1
        ? { onset: word.onset - only.onset, end: word.end - only.end }
        : null
    return { late, falseRuns }
  })
  // somebody who always says "stop" half a second after the pump is not wrong
  const usual = {
    onset: median(heard.flatMap(({ late }) => (late === null ? [] : [late.onset]))),
    end: median(heard.flatMap(({ late }) => (late === null ? [] : [late.end]))),
  }
  return heard.map(({ late, falseRuns }) => ({
    late,
    falseRuns,
    isRight:
      late !== null &&
      falseRuns === 0 &&
      Math.abs(late.onset - usual.onset) <= near &&
      Math.abs(late.end - usual.end) <= near,
  }))
}

/** The middle one of some numbers; 0 of none. */
export function median(numbers: readonly number[]): number {
  const sorted = [...numbers].sort((a, b) => a - b)
  return sorted[sorted.length >> 1] ?? 0
}
