import {
  OutOfRange,
  scoreConsistency,
  scoreDoses,
  scoreFastShot,
  scoreFindWindow,
  scoreHandOffs,
  scoreSlowShot,
  scoreTamps,
  scoreTasting,
  scoreTimeSense,
  type DrillScore,
} from '../../coffee/index.ts'
import type { Drill } from '../../messages/drill.ts'
import type { DrillContext } from './drillContext.ts'

/** Scores what was collected, or nothing when it was too little to score. */
export function scoreDrill(context: DrillContext): DrillScore | null {
  const { drill, recipe, pours, presses, doses, answers, called, served, cups } = context
  const last = pours.at(-1)
  try {
    switch (drill.score) {
      case 'none':
        return null
      case 'fast shot':
        return last === undefined ? null : scoreFastShot(last, recipe.window)
      case 'slow shot':
        return last === undefined ? null : scoreSlowShot(last, recipe.window)
      case 'find window':
        return pours.length === 0 ? null : scoreFindWindow(pours, recipe.window)
      case 'telling apart':
        return answers.length === 0 ? null : scoreTasting(answers.filter(Boolean).length, answers.length)
      case 'consistency':
        return scoreConsistency(pours)
      case 'tamps':
        return scoreTamps(presses)
      case 'doses':
        return scoreDoses(doses, recipe.dose)
      case 'time sense':
        return called === null ? null : scoreTimeSense(called, callTarget(drill))
      case 'hand-offs':
        return cups === 0 ? null : scoreHandOffs(served, cups)
    }
  } catch (error) {
    if (error instanceof OutOfRange) return null
    throw error
  }
}

function callTarget(drill: Drill): number {
  const call = drill.steps.map(({ wait }) => wait).find((wait) => wait.for === 'call')
  return call?.for === 'call' ? call.seconds : 0
}
