import { setup } from 'xstate'
import type { DrillWait } from '../../messages/drill.ts'
import type { Upward } from '../events.ts'
import { entryId } from '../ids.ts'
import { timeOf } from '../loop/effect.ts'
import { ranges } from '../loop/loopContext.ts'
import { drillActions, type DrillActionName } from './actions.ts'
import {
  startDrill,
  stepOf,
  type DrillAction,
  type DrillContext,
  type DrillEvent,
  type DrillInput,
} from './drillContext.ts'

const waitsFor = (...waits: DrillWait['for'][]) => ({ type: 'waitsFor', params: { waits } }) as const

const pourLength = (context: DrillContext, event: DrillEvent) =>
  timeOf(event, 0) - (context.start ?? timeOf(event, 0))

const base = setup({
  types: {
    context: {} as DrillContext,
    input: {} as DrillInput,
    events: {} as DrillEvent,
  },
  guards: {
    isCommand: ({ event }) => 'intent' in event,
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
})

/** Carries out what a pure function of the drill returns. */
const carryOut = (act: DrillAction) =>
  base.enqueueActions(({ context, event, enqueue }) => {
    const effect = act(context, event)
    const entries = (effect.entries ?? []).map((entry, index) => ({
      ...entry,
      id: entryId('drill', entry.at, context.made + index),
    }))
    const made = context.made + entries.length + (effect.tell?.length ?? 0)
    enqueue.assign({ ...effect.change, made })
    const out: Upward = { type: 'out', cues: effect.cues ?? [], entries }
    enqueue.sendParent(out)
    for (const message of effect.tell ?? []) enqueue.sendParent(message)
  })

const actions = Object.fromEntries(
  Object.entries(drillActions).map(([name, act]) => [name, carryOut(act)]),
) as Record<DrillActionName, ReturnType<typeof carryOut>>

/**
 * Runs one drill, whatever its file says: a step at a time, each with an instruction and something it waits for.
 * It knows the kinds of waiting, not the drills. What each command does is a pure function of the same name.
 */
export const drillMachine = base.extend({ actions }).createMachine({
  id: 'drill',
  context: ({ input }) => startDrill(input),
  entry: 'begin',
  initial: 'step',
  on: {
    'hand-off ended': { actions: 'noteHandOff' },
    erased: { actions: 'forgetPerson' },
    'new settings': { actions: 'useSettings' },
    'stop drill': { target: '.left', actions: 'leave' },
    why: { actions: 'why' },
    help: { actions: 'help' },
    status: { actions: 'status' },
    time: { actions: 'time' },
    report: { actions: 'report' },
    'week report': { actions: 'reportWeek' },
    // with no pour to end, the word means: be quiet
    'stop pour': { actions: 'hush' },
    '*': { guard: 'isCommand', actions: 'notNow' },
  },
  states: {
    step: {
      always: [
        { guard: 'isLast', target: 'finished' },
        { guard: 'isFulfilled', target: 'step', reenter: true, actions: 'advance' },
      ],
      on: {
        next: [{ guard: waitsFor('next', 'grind', 'hand-off'), actions: 'fulfil' }, { actions: 'notNow' }],
        'grind by': { guard: waitsFor('grind', 'window', 'next'), actions: 'moveGrind' },
        'grind at': { guard: waitsFor('grind', 'window', 'next'), actions: 'moveGrind' },
        'leave it': { actions: 'notNow' },
        purged: { actions: 'purge' },
        'start pour': {
          guard: waitsFor('pour', 'window', 'call'),
          target: 'pouring',
          actions: 'beginPour',
        },
        'tamp force': { guard: waitsFor('presses'), actions: 'notePress' },
        dose: { guard: waitsFor('doses'), actions: 'noteDose' },
        yes: { guard: waitsFor('answer'), actions: 'answer' },
        no: { guard: waitsFor('answer'), actions: 'answer' },
        tick: [
          { guard: 'rested', actions: 'endRest' },
          { guard: waitsFor('cups'), actions: 'bringCup' },
        ],
        back: { actions: 'back' },
        undo: { actions: 'back' },
        skip: [{ guard: 'isOnLastStep', target: 'finished' }, { actions: 'fulfil' }],
      },
    },
    pouring: {
      on: {
        'stop pour': [
          { guard: 'falseStart', target: 'step', actions: 'falseStart' },
          { guard: 'endless', target: 'step', actions: 'falseStart' },
          { target: 'step', actions: 'endPour' },
        ],
        tick: [
          { guard: 'benchDone', target: 'step', actions: 'endPracticePour' },
          { guard: 'endless', target: 'step', actions: 'falseStart' },
        ],
        undo: { target: 'step', actions: 'falseStart' },
      },
    },
    finished: { type: 'final', entry: 'finish' },
    left: { type: 'final' },
  },
})
