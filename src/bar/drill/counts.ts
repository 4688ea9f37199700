import { kilogramsForceToNewtons, poundsForceToNewtons, recipeRanges } from '../../coffee/index.ts'
import type { SentenceId } from '../../messages/cue.ts'
import { isWithin } from '../loop/loopContext.ts'
import { earcon, refuse, say } from '../say.ts'
import { stepOf, type DrillAction, type DrillContext, type DrillEffect } from './drillContext.ts'

/** A number said in a series: kept when it can be true, refused with its range when it cannot. */
function noteInSeries(
  context: DrillContext,
  key: 'presses' | 'doses',
  value: number,
  range: { low: number; high: number },
  spoken: number,
  refusal: SentenceId,
  spokenRange: { low: number; high: number },
): DrillEffect {
  if (!isWithin(value, range)) return refuse(refusal, spoken, spokenRange)
  const series = [...context[key], value]
  const { wait } = stepOf(context)
  const count = wait.for === 'presses' || wait.for === 'doses' ? wait.count : 0
  return {
    change: { [key]: series, isFulfilled: series.length >= count },
    cues: [earcon('heard'), say('drill.pressed', { count: series.length })],
  }
}

/** A person can press from nothing to about their weight; kilograms-force on the scale. */
const pressRange = { pounds: { low: 1, high: 220 }, kilograms: { low: 0.5, high: 100 } }

/** What a step counts: presses, doses, answers. */
export const countActions = {
  notePress: (context, event) => {
    if (event.type !== 'tamp force') return {}
    const { amount, unit } = event.slots
    const newtons = unit === 'pounds' ? poundsForceToNewtons(amount) : kilogramsForceToNewtons(amount)
    return noteInSeries(
      context,
      'presses',
      newtons,
      { low: 2, high: 1000 },
      amount,
      'trouble.press',
      pressRange[unit],
    )
  },

  noteDose: (context, event) => {
    if (event.type !== 'dose') return {}
    const { amount } = event.slots
    return noteInSeries(
      context,
      'doses',
      amount,
      recipeRanges.dose,
      amount,
      'trouble.dose',
      recipeRanges.dose,
    )
  },

  answer: (context, event) => ({
    change: { answers: [...context.answers, event.type === 'yes'], isFulfilled: true },
    cues: [earcon('heard')],
  }),

  /** Brings the next cup when its time has come. */
} satisfies Record<string, DrillAction>
