import type { BarContext } from './barContext.ts'
import type { BarAction, Effect, Work } from './effect.ts'
import type { CommandEvent } from './events.ts'
import { say, warn } from './say.ts'

/** What the microphone says of the pump. Times are on the bar clock. */
export type PumpEvent =
  /** it was learnt well enough to go by it, or is not any more */
  | { type: 'pump known'; isKnown: boolean; at: number }
  | { type: 'pump began'; onset: number; at: number }
  | { type: 'pump ended'; onset: number; end: number; at: number }

/** The pump as far as the bar knows of it. */
export interface Pump {
  readonly isKnown: boolean
  /** it is running; `started`: it began the pour that is in hand */
  readonly run: { readonly onset: number; readonly started: boolean } | null
}

export const noPump: Pump = { isKnown: false, run: null }

/** Seconds: a shorter run is a flush or the boiler's refill (common practice: a flush is some seconds). */
export const shortestShot = 8

const command = (intent: 'start pour' | 'stop pour' | 'undo', at: number): CommandEvent =>
  ({
    type: intent,
    intent,
    slots: null,
    onset: at,
    end: at,
    confidence: 1,
    heard: 'pump',
    source: 'pump',
  }) as CommandEvent

const isFollowed = (context: BarContext): boolean =>
  context.settings.pump && context.pump.isKnown && !context.drillInput && !context.settings.practice

/** Begins the pour, where one is expected; elsewhere only when the pump has run for too long to be flushed. */
function mayStart(pump: Pump, at: number, { place }: Work): Effect {
  const { run } = pump
  if (!run || run.started) return { change: { pump } }
  const isExpected = place === 'ready' || place === 'tamp'
  const isPossible = isExpected || place === 'dose' || place === 'grind' || place === 'judge'
  if (!isPossible || (!isExpected && at - run.onset < shortestShot)) return { change: { pump } }
  return {
    change: { pump: { ...pump, run: { ...run, started: true } } },
    toLoop: [command('start pour', run.onset)],
  }
}

/** The pour timed by the pump: a word, a key or the pedal may always do it first. */
export const pumpActions = {
  knowPump: (context, event) => {
    if (event.type !== 'pump known' || event.isKnown === context.pump.isKnown) return {}
    return {
      change: { pump: { isKnown: event.isKnown, run: null } },
      cues: context.settings.pump ? [event.isKnown ? say('pump.known') : warn('pump.unsure')] : [],
    }
  },

  beginRun: (context, event, work) =>
    event.type === 'pump began' && isFollowed(context)
      ? mayStart({ ...context.pump, run: { onset: event.onset, started: false } }, event.at, work)
      : {},

  followRun: (context, event, work) =>
    event.type === 'tick' && isFollowed(context) && context.pump.run && !context.pump.run.started
      ? mayStart(context.pump, event.at, work)
      : {},

  endRun: (context, event, work) => {
    if (event.type !== 'pump ended') return {}
    const change = { pump: { ...context.pump, run: null } }
    const { pours } = work.loop
    if (!isFollowed(context)) return { change }
    // one microphone cannot say which group it was
    if (pours.length > 1) return { change, cues: [say('pump.two-groups')] }
    // a pour that a word has ended, or began long after the pump did, is not this run's
    const isItsPour = pours.some(({ start }) => Math.abs(start - event.onset) < 3)
    if (!isItsPour) return { change }
    const isFlush = context.pump.run?.started === true && event.end - event.onset < shortestShot
    return { change, toLoop: [command(isFlush ? 'undo' : 'stop pour', event.end)] }
  },

  forgetPump: () => ({
    change: { pump: noPump },
    emit: [{ type: 'forget pump' }],
    cues: [say('pump.forgotten')],
  }),
} satisfies Record<string, BarAction>
