import { recipeRanges } from '../../coffee/index.ts'
import { prompt, refuse, say } from '../say.ts'
import { as, undoable, type LoopAction } from './effect.ts'
import { isWithin } from './loopContext.ts'

/** Dose and tamp. */
export const doseActions = {
  promptDose: () => ({ cues: [prompt('dose.prompt')] }),
  promptTamp: () => ({ cues: [prompt('tamp.prompt')] }),
  noteDose: (context, event, place) => {
    const { amount } = as(event, 'dose').slots
    if (!isWithin(amount, recipeRanges.dose)) return refuse('trouble.dose', amount, recipeRanges.dose)
    return undoable(context, place, {
      change: { dose: amount },
      cues: [say('dose.noted', { grams: amount })],
    })
  },

  noteTamp: (_context, event) => ({
    cues: [say('tamp.noted', { amount: as(event, 'tamp force').slots.amount })],
  }),
} satisfies Record<string, LoopAction>
