import { sendParent, setup } from 'xstate'
import type { Resumed, Tick } from '../events.ts'
import { ranges } from './loopContext.ts'
import { marksUntil } from './pourMarks.ts'

export interface PourInput {
  /** the shot that pours */
  shot: string
  /** bar clock */
  start: number
  /** practice: how long the bench lets it pour, seconds */
  practiceSeconds: number | null
}

/** What a pour reports to the loop. */
export type PourEvent =
  /** it has run so long that its marks are over */
  | { type: 'pour is long'; shot: string; at: number }
  /** it has run so long that it cannot be one */
  | { type: 'pour is lost'; shot: string; at: number }
  /** practice: it has ended by itself */
  | { type: 'pour is done'; shot: string; at: number }
  /** after a reload it is timed on */
  | { type: 'pour goes on'; shot: string; at: number }

const report = (type: PourEvent['type']) => ({ type: 'report', params: { type } }) as const

/** Watches one pour, so that none is forgotten. It owns no timer: ticks bring it the time. */
export const pourMachine = setup({
  types: {
    context: {} as PourInput,
    input: {} as PourInput,
    events: {} as Tick | Resumed,
  },
  guards: {
    isDone: ({ context: { start, practiceSeconds }, event }) =>
      practiceSeconds !== null && event.at - start >= practiceSeconds,
    isLong: ({ context, event }) => event.at - context.start > marksUntil,
    isEndless: ({ context, event }) => event.at - context.start > ranges.pour.high,
  },
  actions: {
    report: sendParent(({ context, event }, { type }: { type: PourEvent['type'] }): PourEvent => ({
      type,
      shot: context.shot,
      at: type === 'pour is done' ? context.start + (context.practiceSeconds ?? 0) : event.at,
    })),
  },
}).createMachine({
  id: 'pour',
  context: ({ input }) => input,
  initial: 'running',
  states: {
    running: {
      on: {
        tick: [
          { guard: 'isDone', target: 'done' },
          { guard: 'isLong', target: 'long', actions: report('pour is long') },
        ],
      },
    },
    long: { on: { tick: { guard: 'isEndless', target: 'lost' } } },
    done: { type: 'final', entry: report('pour is done') },
    lost: { type: 'final', entry: report('pour is lost') },
  },
  on: {
    // nobody can vouch for a pour that ran on unheard
    resumed: [{ guard: 'isLong', target: '.lost' }, { actions: report('pour goes on') }],
  },
})
