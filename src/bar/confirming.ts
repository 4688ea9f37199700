import type { SentenceId, SentenceValues } from '../messages/cue.ts'
import type { BarContext } from './barContext.ts'
import type { BarAction } from './effect.ts'
import type { CommandEvent } from './events.ts'
import { repairCue } from './repair/repairCue.ts'
import { say, warn } from './say.ts'

/** Commands that need a yes first, and how it asks. */
const asks = {
  'end shift': 'shift.ask-end',
  discard: 'handoff.ask-discard',
  'erase person': 'shift.ask-erase',
} as const

/** A question in the words in which it is asked. */
export interface Question {
  sentence: SentenceId
  values?: SentenceValues
}

/** The question that waits for a yes or a no, if one does. */
export function questionOf({ pending, repair }: Pick<BarContext, 'pending' | 'repair'>): Question | null {
  if (repair.question) return repairCue(repair.question)
  return pending && pending.type in asks ? { sentence: asks[pending.type as keyof typeof asks] } : null
}

/** The yes before what cannot be undone. */
export const confirmingActions = {
  keepPending: (_context, event) => ({
    change: { pending: 'slots' in event ? (event as CommandEvent) : null },
  }),
  ask: (_context, event) =>
    event.type in asks ? { cues: [warn(asks[event.type as keyof typeof asks])] } : {},
  cancelled: () => ({ cues: [say('talk.cancelled')] }),

  endShift: (_context, event) =>
    'onset' in event ? { toLoop: [{ type: 'shift ends', at: event.onset }] } : {},

  erase: (context, event) => {
    if (context.pending?.type !== 'erase person' || !('onset' in event)) return {}
    const { number } = context.pending.slots
    return {
      change: { scores: context.scores.filter(({ person }) => person !== number) },
      entries: [{ kind: 'person erased', at: event.onset, person: number }],
      toLoop: [{ type: 'erased', person: number }],
      toDrill: [{ type: 'erased', person: number }],
    }
  },
} satisfies Record<string, BarAction>
