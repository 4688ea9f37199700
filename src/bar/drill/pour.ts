import { pullShot, timeBand } from '../../coffee/index.ts'
import { entryId } from '../ids.ts'
import { pourEnded, pourStarted } from '../loop/pourMarks.ts'
import { earcon, oneDecimal, say } from '../say.ts'
import { nowOf, stepOf, type DrillAction, type DrillContext, type DrillEffect } from './drillContext.ts'
import { drillPourTag, heardPour } from './heardPour.ts'
import { notNow } from './steps.ts'

/** One pour is over. In a drill a shot counts as practice, so that no report takes it for the day's work. */
function endPour(context: DrillContext, end: number, seconds: number): DrillEffect {
  const { wait } = stepOf(context)
  if (wait.for === 'call')
    return { change: { called: seconds, start: null, isFulfilled: true }, cues: [earcon('heard')] }
  const pours = [...context.pours, seconds]
  const id = entryId('drill', end, context.made)
  const { recipe, person } = context
  const isHit = timeBand(seconds, recipe.window) === 'in window'
  const isMissed = wait.for === 'window' && !isHit && pours.length < wait.most
  const cups = wait.for === 'pour' ? (wait.cups ?? 1) : 1
  return {
    change: { pours, start: null, practiceSeconds: null, cups: context.cups + cups, isFulfilled: !isMissed },
    cues: [...pourEnded(heardPour, seconds, recipe.window), ...(isMissed ? [say('drill.missed')] : [])],
    entries: [
      {
        kind: 'shot',
        at: end,
        shot: id,
        recipe: context.recipeName,
        coffee: context.coffee,
        grinder: context.grinder,
        ...(person !== null && { person }),
        seconds,
        windowOpens: recipe.window.opens,
        windowCloses: recipe.window.closes,
        notch: context.notch,
        purged: true,
        practice: true,
      },
    ],
    tell: [{ type: 'poured', shot: id, end, at: end, cups, mayBeServed: true }],
  }
}

/** A pour in a drill. */
export const pourActions = {
  time: (context, event) => {
    const { start, pours } = context
    // a sense of time is not helped with the time
    if (start !== null && stepOf(context).wait.for === 'call') return notNow(context)
    if (start !== null)
      return { cues: [say('pour.time-now', { seconds: Math.round(nowOf(context, event) - start) })] }
    const last = pours.at(-1)
    return {
      cues: [last === undefined ? say('talk.no-time') : say('talk.last-time', { seconds: oneDecimal(last) })],
    }
  },

  beginPour: (context, event) => {
    const start = nowOf(context, event)
    // a span called without a clock has no marks: that is the drill
    if (stepOf(context).wait.for === 'call') return { change: { start }, cues: [earcon('heard')] }
    const practice = context.bench
      ? pullShot(context.bench, { notch: context.notch, recipe: context.recipe, at: start })
      : null
    return {
      change: {
        start,
        ...(practice && { bench: practice.bench, practiceSeconds: practice.shot.seconds }),
      },
      cues: pourStarted({ ...heardPour, start }, context.recipe.window, practice?.shot),
    }
  },

  endPour: (context, event) => {
    const end = nowOf(context, event)
    return endPour(context, end, end - (context.start ?? end))
  },

  endPracticePour: (context) => {
    const seconds = context.practiceSeconds ?? 0
    return endPour(context, (context.start ?? context.since) + seconds, seconds)
  },

  falseStart: () => ({
    change: { start: null, practiceSeconds: null },
    cues: [{ kind: 'cancel', tag: drillPourTag }, say('pour.false-start')],
  }),
} satisfies Record<string, DrillAction>
