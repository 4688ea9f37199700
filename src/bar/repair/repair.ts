import type { BarContext } from '../barContext.ts'
import type { BarAction, Effect } from '../effect.ts'
import { toEvent, type CommandEvent } from '../events.ts'
import { earcon, say } from '../say.ts'
import { decide } from './decide.ts'
import { noRepair, type Repair, type RepairQuestion } from './repairContext.ts'
import { whyNot } from '../loop/whyNot.ts'

const repaired = (context: BarContext, change: Partial<Repair>): Effect => ({
  change: { repair: { ...context.repair, ...change } },
})

/** A command out of what was said: whoever watches is told, and it is done. */
export const obey = (...commands: readonly CommandEvent[]): Effect => ({
  emit: commands.map((command) => ({ type: 'obeyed', command }) as const),
  raise: commands,
})

/** No command came of it: the first time it is asked for again, after that another way is named. */
function missed(context: BarContext): Effect {
  const misses = context.repair.misses + 1
  return {
    ...repaired(context, { misses, question: null }),
    cues: [earcon('not understood'), say(misses === 1 ? 'repair.again' : 'repair.other-way')],
  }
}

/** What is asked, in words. */
export function repairCue({ commands }: RepairQuestion) {
  return {
    sentence: commands.length > 1 ? 'repair.which' : 'repair.guess',
    values: { words: commands.map(({ heard }) => heard) },
  } as const
}

/** What is answered to a phrase, and what comes of the answer to a question of the tool's own. */
export const repairActions = {
  hear: (context, event, { place }) => {
    if (event.type !== 'utterance') return {}
    const { utterance } = event
    const decision = decide(utterance)
    switch (decision.kind) {
      case 'obey':
        return {
          ...obey(toEvent(decision.command)),
          change: { repair: { ...context.repair, misses: 0 } },
        }
      case 'ask':
        // never two questions in a row, and none on top of another
        return context.repair.misses > 0 || context.pending !== null
          ? missed(context)
          : {
              ...repaired(context, { misses: 1 }),
              raise: [
                {
                  type: 'ask',
                  question: { kind: 'guess', commands: decision.guesses.map(toEvent), at: utterance.end },
                },
              ],
            }
      case 'say why not': {
        const { intent } = decision.command
        if (context.pending !== null) {
          const reason = context.pending.type === 'settings' ? 'why-not.in-settings' : 'why-not.asked'
          return { cues: [earcon('not understood'), say(reason)] }
        }
        // a drill repeats what it waits for
        if (context.drillInput !== null) return { toDrill: [toEvent(decision.command)] }
        const why = whyNot(place, intent)
        return why ? { cues: [earcon('not understood'), say(why)] } : {}
      }
      case 'not understood':
        return missed(context)
      case 'leave alone':
        return {}
    }
  },

  askRepair: (context, event) => {
    if (event.type !== 'ask') return {}
    const { sentence, values } = repairCue(event.question)
    return { ...repaired(context, { question: event.question }), cues: [say(sentence, values)] }
  },

  takeGuess: (context) => {
    const { question } = context.repair
    const [command] = question?.commands ?? []
    return { change: { repair: noRepair }, ...(command && obey(command)) }
  },

  refuseGuess: (context) => ({
    ...repaired(context, { question: null }),
    cues: [say('repair.refused')],
  }),

  /** Whatever else was said is the answer. */
  dropQuestion: (_context, event) => ({
    change: { repair: noRepair },
    ...('intent' in event && { raise: [event] }),
  }),

  forgetQuestion: (context) => repaired(context, { question: null }),
} satisfies Record<string, BarAction>
