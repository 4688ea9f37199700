import { setup } from 'xstate'
import { recipeRanges } from '../../coffee/index.ts'
import type { Upward } from '../events.ts'
import { entryId } from '../ids.ts'
import { placeOf } from '../place.ts'
import { loopActions, type LoopActionName } from './actions.ts'
import { timeOf, type LoopAction, type LoopEvent } from './effect.ts'
import { isWithin, ranges, startLoop, type LoopContext, type LoopStart, type Place } from './loopContext.ts'
import { isForgotten } from './pour.ts'
import { marksUntil } from './pourMarks.ts'

/** How long the pour is, judged by the event that ends it. Seconds. */
const pourLength = (context: LoopContext, event: LoopEvent) =>
  timeOf(event, 0) - (context.current.start ?? timeOf(event, 0))

const base = setup({
  types: {
    context: {} as LoopContext,
    input: {} as LoopStart,
    events: {} as LoopEvent,
  },
  guards: {
    isCommand: ({ event }) => 'intent' in event,
    doseFits: ({ event }) => event.type === 'dose' && isWithin(event.slots.amount, recipeRanges.dose),
    movesWithinReach: ({ context, event }) =>
      event.type === 'grind by' &&
      isWithin(Math.abs(event.slots.notches), ranges.move) &&
      isWithin(context.notch + event.slots.notches, ranges.notch),
    isASetting: ({ event }) => event.type === 'grind at' && isWithin(event.slots.notch, ranges.notch),
    falseStart: ({ context, event }) => pourLength(context, event) < ranges.pour.low,
    endless: ({ context, event }) => pourLength(context, event) > ranges.pour.high,
    benchDone: ({ context, event }) =>
      context.current.practice !== undefined &&
      pourLength(context, event) >= context.current.practice.seconds,
    forgotten: ({ context, event }) => isForgotten(context, timeOf(event, 0)),
    longGone: ({ context, event }) => pourLength(context, event) > marksUntil,
    grindIsMeant: ({ context }) => context.step?.action === 'finer' || context.step?.action === 'coarser',
    cameFrom: ({ context }, params: { place: Place }) => context.undo.at(-1)?.place === params.place,
  },
})

/** Carries out what a pure function of the loop returns. It is given the place in which the event came. */
const carryOut = (act: LoopAction) =>
  base.enqueueActions(({ context, event, enqueue, self }) => {
    const effect = act(context, event, placeOf(self.getSnapshot().value))
    const entries = (effect.entries ?? []).map((entry, index) => ({
      ...entry,
      id: entryId('loop', entry.at, context.made + index),
    }))
    enqueue.assign({ ...effect.change, made: context.made + entries.length })
    const out: Upward = { type: 'out', cues: effect.cues ?? [], entries }
    enqueue.sendParent(out)
    for (const message of effect.tell ?? []) enqueue.sendParent(message)
  })

const actions = Object.fromEntries(
  Object.entries(loopActions).map(([name, act]) => [name, carryOut(act)]),
) as Record<LoopActionName, ReturnType<typeof carryOut>>

/** Choices open wherever no shot is in hand. */
const choices = {
  recipe: { actions: 'chooseRecipe' },
  'house recipe': { actions: 'setHouse' },
  window: { actions: 'setWindow' },
  'house settled': { actions: 'settleHouse' },
  'house card': { actions: 'useHouse' },
  coffee: { actions: 'chooseCoffee' },
  grinder: { actions: 'chooseGrinder' },
  person: { actions: 'choosePerson' },
  roasted: { actions: 'noteRoast' },
  room: { actions: 'noteRoom' },
} as const

/** Ways to move the grind, each of which begins the next shot. */
const moves = {
  'grind by': [
    { guard: 'movesWithinReach', target: '#loop.open.grind', actions: 'moveGrind' },
    { actions: 'moveGrind' },
  ],
  'grind at': [
    { guard: 'isASetting', target: '#loop.open.grind', actions: 'setGrind' },
    { actions: 'setGrind' },
  ],
} as const

const dose = [
  { guard: 'doseFits', target: '#loop.open.tamp', actions: 'noteDose' },
  { actions: 'noteDose' },
] as const
const pour = { 'start pour': { target: '#loop.open.pull.pouring', actions: 'beginPour' } } as const

/** An undo of something said in a place goes back there. */
const back = (place: Place, target: string) => ({
  guard: { type: 'cameFrom', params: { place } } as const,
  target,
  actions: 'undo' as const,
})

/**
 * The shift and, inside it, the calibration loop: grind, dose, tamp, pull, judge, adjust, and back to grind.
 * A regular may skip words: "start" is understood from grind, dose and tamp, and from judge for the next shot.
 * What each command does is a pure function of the same name, in the file of its part of the job; this file only
 * says where it may be done and where it leads.
 */
export const loopMachine = base.extend({ actions }).createMachine({
  id: 'loop',
  context: ({ input }) => startLoop(input),
  initial: 'closed',
  on: {
    help: { actions: 'help' },
    status: { actions: 'status' },
    why: { actions: 'why' },
    time: { actions: 'time' },
    report: { actions: 'report' },
    'week report': { actions: 'reportWeek' },
    // with no pour to end, the word means: be quiet
    'stop pour': { actions: 'hush' },
    'new settings': { actions: 'useSettings' },
    erased: { actions: 'forgetPerson' },
    'moved in drill': { actions: 'moveInDrill' },
    'hand-off ended': { actions: 'noteHandOff' },
    'hand-off reopened': { actions: 'noteReopened' },
    '*': { guard: 'isCommand', actions: 'notNow' },
  },
  states: {
    closed: {
      on: {
        'open shift': { target: 'open', actions: 'openShift' },
        ...choices,
        undo: { actions: 'undo' },
      },
    },
    open: {
      initial: 'grind',
      on: {
        'shift ends': { target: 'closed', actions: 'closeShift' },
        undo: [
          back('grind', '#loop.open.grind'),
          back('dose', '#loop.open.dose'),
          back('tamp', '#loop.open.tamp'),
          back('ready', '#loop.open.pull.ready'),
          // the pour itself is over: what is taken back is its shot, and the next one is ready to be pulled
          back('pouring', '#loop.open.pull.ready'),
          back('judge', '#loop.open.judge'),
          back('adjust', '#loop.open.adjust'),
          { actions: 'undo' },
        ],
      },
      states: {
        grind: {
          entry: 'promptGrind',
          on: {
            next: { target: 'dose', actions: 'leaveGrind' },
            dose,
            purged: { target: 'grind', reenter: true, actions: 'purge' },
            'new bag': { actions: 'newBag' },
            calibrate: { actions: 'calibrate' },
            ...moves,
            ...pour,
            ...choices,
          },
        },
        dose: {
          entry: 'promptDose',
          on: { next: { target: 'tamp', actions: 'step' }, dose, ...moves, ...pour },
        },
        tamp: {
          entry: 'promptTamp',
          on: { next: { target: 'pull', actions: 'step' }, 'tamp force': { actions: 'noteTamp' }, ...pour },
        },
        pull: {
          initial: 'ready',
          states: {
            ready: { entry: 'promptReady', on: pour },
            pouring: {
              on: {
                'first drip': { actions: 'noteFirstDrip' },
                look: { actions: 'noteSign' },
                'stop pour': [
                  { guard: 'falseStart', target: 'ready', actions: 'falseStart' },
                  { guard: 'endless', target: 'ready', actions: 'losePour' },
                  { target: '#loop.open.judge', actions: 'endPour' },
                ],
                tick: [
                  { guard: 'benchDone', target: '#loop.open.judge', actions: 'endPracticePour' },
                  { guard: 'endless', target: 'ready', actions: 'losePour' },
                  { guard: 'forgotten', actions: 'askForgotten' },
                ],
                resumed: [
                  { guard: 'longGone', target: 'ready', actions: 'losePour' },
                  { actions: 'resumePour' },
                ],
                undo: { target: 'ready', actions: 'falseStart' },
              },
            },
          },
        },
        judge: {
          on: {
            'hand-off ended': { actions: ['noteHandOff', 'sayStep'] },
            look: { actions: 'noteLook' },
            taste: { actions: 'noteTaste' },
            'time was': { actions: 'correctTime' },
            drink: { actions: 'noteDrink' },
            purged: { actions: 'purge' },
            strength: { actions: 'noteStrength' },
            'serve anyway': { actions: 'overrule' },
            next: [
              { guard: 'grindIsMeant', target: 'adjust', actions: 'step' },
              { target: 'grind', actions: 'startNextShot' },
            ],
            'leave it': { target: 'grind', actions: 'leaveIt' },
            ...moves,
            ...pour,
          },
        },
        adjust: {
          entry: ['sayStep', 'promptAdjust'],
          on: {
            next: { target: 'grind', actions: 'moveAdvised' },
            purged: { actions: 'purge' },
            ...pour,
            'leave it': { target: 'grind', actions: 'leaveIt' },
            look: { actions: 'noteLook' },
            taste: { actions: 'noteTaste' },
            'time was': { actions: 'correctTime' },
            drink: { actions: 'noteDrink' },
            'serve anyway': { actions: 'overrule' },
            ...moves,
          },
        },
      },
    },
  },
})
