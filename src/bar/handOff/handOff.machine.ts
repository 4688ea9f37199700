import { sendParent, setup } from 'xstate'
import type { Destination } from '../../messages/command.ts'
import type { Cue } from '../../messages/cue.ts'
import type { Resumed, Tick, Upward } from '../events.ts'
import { cupWord, handOffCues, handOffTag, recognitionGrace, type HandOffClock } from './handOffCues.ts'

export type HandOffOutcome = 'served' | 'expired' | 'discarded'

/** Told to the bar when a clock has ended. `margin`: seconds left, negative when late. */
export interface HandOffEnded {
  type: 'hand-off ended'
  clock: HandOffClock
  outcome: HandOffOutcome
  into?: Destination
  margin: number
  at: number
}

/** The events of a clock. */
export type HandOffEvent =
  | { type: 'serve'; into: Destination; at: number }
  | { type: 'discard'; at: number }
  | { type: 'drop' }
  | Tick
  | Resumed

export interface HandOffInput {
  clock: HandOffClock
  /** bar time at which the clock is set going; its sounds start no earlier */
  now: number
  /** other clocks run or may run: name the cup */
  several: boolean
}

const up = (...cues: Cue[]): Upward => ({ type: 'out', cues })

/**
 * The clock of one cup, from the end of the pour until it is in a liquid, expired or thrown out.
 * It owns no timer: its sounds are scheduled on the audio clock when it starts, and ticks tell it the time.
 */
export const handOffMachine = setup({
  types: {
    context: {} as HandOffInput,
    input: {} as HandOffInput,
    events: {} as HandOffEvent,
  },
  guards: {
    inTime: ({ context: { clock }, event }) =>
      event.type === 'serve' && event.at <= clock.start + clock.limit,
    over: ({ context: { clock }, event }) =>
      'at' in event && event.at > clock.start + clock.limit + recognitionGrace,
  },
  actions: {
    schedule: sendParent(({ context, event }) =>
      up(...handOffCues(context.clock, 'at' in event ? event.at : context.now, context.several)),
    ),
    silence: sendParent(({ context }) => up({ kind: 'cancel', tag: handOffTag(context.clock) })),
    tellServed: sendParent(({ context: { clock }, event }) => ended(clock, 'served', event)),
    tellExpired: sendParent(({ context: { clock }, event }) => ended(clock, 'expired', event)),
    tellDiscarded: sendParent(({ context: { clock }, event }) => ended(clock, 'discarded', event)),
    sayServed: sendParent(({ context: { clock }, event }) =>
      up({
        kind: 'say',
        sentence: 'handoff.served',
        values: { seconds: event.type === 'serve' ? Math.round(clock.start + clock.limit - event.at) : 0 },
        priority: 'answer',
      }),
    ),
    sayExpired: sendParent(({ context: { clock, several } }) =>
      up(
        several
          ? {
              kind: 'say',
              sentence: 'handoff.expired.cup',
              values: { cup: cupWord(clock.voice) },
              priority: 'warning',
            }
          : { kind: 'say', sentence: 'handoff.expired', priority: 'warning' },
      ),
    ),
  },
}).createMachine({
  id: 'hand-off',
  context: ({ input }) => input,
  initial: 'running',
  entry: 'schedule',
  states: {
    running: {
      on: {
        serve: [{ guard: 'inTime', target: 'served' }, { target: 'expired' }],
        discard: 'discarded',
        drop: 'dropped',
        tick: { guard: 'over', target: 'expired' },
        resumed: [{ guard: 'over', target: 'expired' }, { actions: 'schedule' }],
      },
    },
    served: { type: 'final', entry: ['silence', 'sayServed', 'tellServed'] },
    expired: { type: 'final', entry: ['silence', 'sayExpired', 'tellExpired'] },
    discarded: { type: 'final', entry: ['silence', 'tellDiscarded'] },
    /** the pour it belongs to was taken back: there is nothing to tell */
    dropped: { type: 'final', entry: 'silence' },
  },
})

function ended(clock: HandOffClock, outcome: HandOffOutcome, event: HandOffEvent): HandOffEnded {
  const at = 'at' in event ? event.at : clock.start + clock.limit
  return {
    type: 'hand-off ended',
    clock,
    outcome,
    ...(event.type === 'serve' && outcome === 'served' && { into: event.into }),
    margin: clock.start + clock.limit - at,
    at,
  }
}
