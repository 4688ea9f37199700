import { entryId } from '../ids.ts'
import { nowOf, stepOf, type DrillAction } from './drillContext.ts'

/** Cups that a drill brings, and how they end. */
export const cupActions = {
  /** Brings the next cup when its time has come. */
  bringCup: (context, event) => {
    const { wait } = stepOf(context)
    if (wait.for !== 'cups') return {}
    const at = nowOf(context, event)
    const due = Math.min(wait.count, 1 + Math.floor((at - context.since) / wait.every))
    if (due <= context.brought) return {}
    const end = context.since + context.brought * wait.every
    return {
      change: { brought: context.brought + 1, cups: context.cups + 1 },
      tell: [
        { type: 'poured', shot: entryId('drill', end, context.made), end, at, cups: 1, mayBeServed: true },
      ],
    }
  },

  noteHandOff: (context, event) => {
    if (event.type !== 'hand-off ended') return {}
    const { wait } = stepOf(context)
    const endedHere = context.endedHere + 1
    const served = context.served + (event.outcome === 'served' ? 1 : 0)
    return {
      change: {
        endedHere,
        served,
        isFulfilled:
          context.isFulfilled ||
          (wait.for === 'cups' && endedHere >= wait.count) ||
          // a cup that is meant to expire does not hold the drill up
          (wait.for === 'hand-off' && event.outcome === 'served'),
      },
    }
  },
} satisfies Record<string, DrillAction>
