import { enqueueActions, setup } from 'xstate'
import type { DrillWait } from '../messages/drill.ts'
import {
  drillDeeds,
  startDrill,
  stepOf,
  type DrillContext,
  type DrillDeed,
  type DrillDeedName,
  type DrillEvent,
  type DrillInput,
} from './drillDeeds.ts'
import type { Upward } from './events.ts'
import { ranges } from './loopContext.ts'
import { entryId, timeOf } from './loopDeeds.ts'

const perform = (deed: DrillDeedName) => ({ type: 'perform', params: { deed } }) as const
const waitsFor = (...waits: DrillWait['for'][]) => ({ type: 'waitsFor', params: { waits } }) as const

const pourLength = (context: DrillContext, event: DrillEvent) =>
  timeOf(event, 0) - (context.start ?? timeOf(event, 0))

/**
 * Runs one drill, whatever its file says: a step at a time, each with an instruction and something it waits for.
 * It knows the kinds of waiting, not the drills. What each command does is in `drillDeeds.ts`.
 */
export const drillMachine = setup({
  types: {
    context: {} as DrillContext,
    input: {} as DrillInput,
    events: {} as DrillEvent,
  },
  guards: {
    waitsFor: ({ context }, params: { waits: readonly DrillWait['for'][] }) =>
      params.waits.includes(stepOf(context).wait.for),
    isFulfilled: ({ context }) => context.isFulfilled,
    isLast: ({ context }) => context.isFulfilled && context.step + 1 >= context.drill.steps.length,
    isOnLastStep: ({ context }) => context.step + 1 >= context.drill.steps.length,
    rested: ({ context, event }) => {
      const { wait } = stepOf(context)
      return wait.for === 'rest' && timeOf(event, 0) - context.since >= wait.seconds
    },
    falseStart: ({ context, event }) =>
      stepOf(context).wait.for !== 'call' && pourLength(context, event) < ranges.pour.low,
    endless: ({ context, event }) => pourLength(context, event) > ranges.pour.high,
    benchDone: ({ context, event }) =>
      context.practiceSeconds !== null && pourLength(context, event) >= context.practiceSeconds,
  },
  actions: {
    perform: enqueueActions(({ context, event, enqueue }, params: { deed: DrillDeedName }) => {
      const deed: DrillDeed = drillDeeds[params.deed]
      const effect = deed(context, event)
      const entries = (effect.entries ?? []).map((entry, index) => ({
        ...entry,
        id: `${entryId(entry.at, context.made + index)}d`,
      }))
      const made = context.made + entries.length + (effect.tell?.length ?? 0)
      enqueue.assign({ ...effect.change, made })
      const out: Upward = { type: 'out', cues: effect.cues ?? [], entries }
      enqueue.sendParent(out)
      for (const message of effect.tell ?? []) enqueue.sendParent(message)
    }),
  },
}).createMachine({
  id: 'drill',
  context: ({ input }) => startDrill(input),
  entry: perform('begin'),
  initial: 'step',
  on: {
    'hand-off ended': { actions: perform('noteHandOff') },
    'new settings': { actions: perform('useSettings') },
    'stop drill': { target: '.left', actions: perform('leave') },
    why: { actions: perform('why') },
    help: { actions: perform('help') },
    status: { actions: perform('status') },
    time: { actions: perform('time') },
    report: { actions: perform('report') },
    // with no pour to end, the word means: be quiet
    'stop pour': { actions: perform('hush') },
  },
  states: {
    step: {
      always: [
        { guard: 'isLast', target: 'finished' },
        { guard: 'isFulfilled', target: 'step', reenter: true, actions: perform('advance') },
      ],
      on: {
        next: [
          { guard: waitsFor('next', 'grind', 'hand-off'), actions: perform('fulfil') },
          { actions: perform('notNow') },
        ],
        'grind by': { guard: waitsFor('grind', 'window', 'next'), actions: perform('moveGrind') },
        'grind at': { guard: waitsFor('grind', 'window', 'next'), actions: perform('moveGrind') },
        'leave it': { actions: perform('notNow') },
        purged: { actions: perform('purge') },
        'start pour': {
          guard: waitsFor('pour', 'window', 'call'),
          target: 'pouring',
          actions: perform('beginPour'),
        },
        'tamp force': { guard: waitsFor('presses'), actions: perform('notePress') },
        dose: { guard: waitsFor('doses'), actions: perform('noteDose') },
        yes: { guard: waitsFor('answer'), actions: perform('answer') },
        no: { guard: waitsFor('answer'), actions: perform('answer') },
        tick: [
          { guard: 'rested', actions: perform('endRest') },
          { guard: waitsFor('cups'), actions: perform('bringCup') },
        ],
        back: { actions: perform('back') },
        undo: { actions: perform('back') },
        skip: [{ guard: 'isOnLastStep', target: 'finished' }, { actions: perform('fulfil') }],
      },
    },
    pouring: {
      on: {
        'stop pour': [
          { guard: 'falseStart', target: 'step', actions: perform('falseStart') },
          { guard: 'endless', target: 'step', actions: perform('falseStart') },
          { target: 'step', actions: perform('endPour') },
        ],
        tick: [
          { guard: 'benchDone', target: 'step', actions: perform('endPracticePour') },
          { guard: 'endless', target: 'step', actions: perform('falseStart') },
        ],
        undo: { target: 'step', actions: perform('falseStart') },
      },
    },
    finished: { type: 'final', entry: perform('finish') },
    left: { type: 'final' },
  },
})
