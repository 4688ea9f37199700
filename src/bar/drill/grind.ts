import { purgeBench } from '../../coffee/index.ts'
import { isWithin, ranges } from '../loop/loopContext.ts'
import { logged, refuse, say } from '../say.ts'
import { nowOf, stepOf, type DrillAction } from './drillContext.ts'

const round = (notches: number) => Math.round(notches * 100) / 100

/** The grind, moved in a drill. */
export const grindActions = {
  moveGrind: (context, event) => {
    if (event.type !== 'grind by' && event.type !== 'grind at') return {}
    const notches = event.type === 'grind by' ? event.slots.notches : round(event.slots.notch - context.notch)
    const notch = event.type === 'grind by' ? round(context.notch + notches) : event.slots.notch
    if (!isWithin(notch, ranges.notch)) return refuse('trouble.notch', notch, ranges.notch)
    if (!isWithin(Math.abs(notches), ranges.move))
      return refuse('trouble.notches', Math.abs(notches), ranges.move)
    return {
      change: { notch, isFulfilled: stepOf(context).wait.for === 'grind' },
      cues: [logged],
      tell: [{ type: 'moved in drill', notches, at: nowOf(context, event) }],
    }
  },

  purge: (context, event) => ({
    change: context.bench
      ? { bench: purgeBench(context.bench, { notch: context.notch, at: nowOf(context, event) }) }
      : {},
    cues: [logged, say('grind.purged')],
    entries: [{ kind: 'purged', at: nowOf(context, event) }],
  }),
} satisfies Record<string, DrillAction>
