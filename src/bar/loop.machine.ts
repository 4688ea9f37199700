import { enqueueActions, setup } from 'xstate'
import { recipeRanges } from '../coffee/index.ts'
import { ranges, startLoop, type LoopContext, type LoopStart, type Place } from './loopContext.ts'
import { deeds, entryId, isForgotten, timeOf, type Deed, type DeedName, type LoopEvent } from './loopDeeds.ts'
import type { Upward } from './events.ts'
import { marksUntil } from './pourMarks.ts'

export type { Condemned, Poured, ReportWanted, Unpoured } from './loopDeeds.ts'

/** A deed as an action: what is done, and where. */
const at = (place: Place) => (deed: DeedName) => ({ type: 'perform', params: { deed, place } }) as const

const within = (value: number, range: { low: number; high: number }) =>
  value >= range.low && value <= range.high

/** How long the pour is, judged by the event that ends it. Seconds. */
const pourLength = (context: LoopContext, event: LoopEvent) =>
  timeOf(event, 0) - (context.current.start ?? timeOf(event, 0))

const closed = at('closed')
const grind = at('grind')
const dose = at('dose')
const tamp = at('tamp')
const ready = at('ready')
const pouring = at('pouring')
const judge = at('judge')
const adjust = at('adjust')

/** Choices open wherever no shot is in hand. */
const choices = (here: ReturnType<typeof at>) => ({
  recipe: { actions: here('chooseRecipe') },
  'house recipe': { actions: here('setHouse') },
  'house settled': { actions: here('settleHouse') },
  'house card': { actions: here('useHouse') },
  coffee: { actions: here('chooseCoffee') },
  grinder: { actions: here('chooseGrinder') },
  person: { actions: here('choosePerson') },
})

/** Questions open everywhere. */
const questions = (here: ReturnType<typeof at>) => ({
  help: { actions: here('help') },
  status: { actions: here('status') },
  why: { actions: here('why') },
  time: { actions: here('time') },
  report: { actions: here('report') },
})

/** Ways to move the grind, each of which begins the next shot. */
const moves = (here: ReturnType<typeof at>) =>
  ({
    'grind by': [
      { guard: 'movesWithinReach', target: '#loop.open.grind', actions: here('moveGrind') },
      { actions: here('moveGrind') },
    ],
    'grind at': [
      { guard: 'isASetting', target: '#loop.open.grind', actions: here('setGrind') },
      { actions: here('setGrind') },
    ],
  }) as const

const pour = (here: ReturnType<typeof at>) => ({
  'start pour': { target: '#loop.open.pull.pouring', actions: here('beginPour') },
})

/** Where an undo goes: the place in which the undone command was given. */
const undo = (here: ReturnType<typeof at>) =>
  ({
    undo: [
      {
        guard: { type: 'cameFrom', params: { place: 'grind' } },
        target: '#loop.open.grind',
        actions: here('undo'),
      },
      {
        guard: { type: 'cameFrom', params: { place: 'dose' } },
        target: '#loop.open.dose',
        actions: here('undo'),
      },
      {
        guard: { type: 'cameFrom', params: { place: 'tamp' } },
        target: '#loop.open.tamp',
        actions: here('undo'),
      },
      {
        guard: { type: 'cameFrom', params: { place: 'ready' } },
        target: '#loop.open.pull.ready',
        actions: here('undo'),
      },
      // the pour itself is over: what is taken back is its shot, and the next one is ready to be pulled
      {
        guard: { type: 'cameFrom', params: { place: 'pouring' } },
        target: '#loop.open.pull.ready',
        actions: here('undo'),
      },
      {
        guard: { type: 'cameFrom', params: { place: 'judge' } },
        target: '#loop.open.judge',
        actions: here('undo'),
      },
      {
        guard: { type: 'cameFrom', params: { place: 'adjust' } },
        target: '#loop.open.adjust',
        actions: here('undo'),
      },
      { actions: here('undo') },
    ],
  }) as const

/**
 * The shift and, inside it, the calibration loop: grind, dose, tamp, pull, judge, adjust, and back to grind.
 * A regular may skip words: "start" is understood from grind, dose and tamp, and from judge for the next shot.
 * What each command does is a pure function in `loopDeeds.ts`; this file only says where it may be done and
 * where it leads.
 */
export const loopMachine = setup({
  types: {
    context: {} as LoopContext,
    input: {} as LoopStart,
    events: {} as LoopEvent,
  },
  guards: {
    doseFits: ({ event }) => event.type === 'dose' && within(event.slots.amount, recipeRanges.dose),
    movesWithinReach: ({ context, event }) =>
      event.type === 'grind by' &&
      within(Math.abs(event.slots.notches), ranges.move) &&
      within(context.notch + event.slots.notches, ranges.notch),
    isASetting: ({ event }) => event.type === 'grind at' && within(event.slots.notch, ranges.notch),
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
  actions: {
    perform: enqueueActions(({ context, event, enqueue }, params: { deed: DeedName; place: Place }) => {
      const deed: Deed = deeds[params.deed]
      const effect = deed(context, event, params.place)
      const entries = (effect.entries ?? []).map((entry, index) => ({
        ...entry,
        id: entryId(entry.at, context.made + index),
      }))
      enqueue.assign({ ...effect.change, made: context.made + entries.length })
      const out: Upward = { type: 'out', cues: effect.cues ?? [], entries }
      enqueue.sendParent(out)
      for (const message of effect.tell ?? []) enqueue.sendParent(message)
    }),
  },
}).createMachine({
  id: 'loop',
  context: ({ input }) => startLoop(input),
  initial: 'closed',
  on: {
    'new settings': { actions: closed('useSettings') },
    // with no pour to end, the word means: be quiet
    'stop pour': { actions: closed('hush') },
    'moved in drill': { actions: closed('moveInDrill') },
    'hand-off ended': { actions: closed('noteHandOff') },
    'hand-off reopened': { actions: closed('noteReopened') },
  },
  states: {
    closed: {
      on: {
        'open shift': { target: 'open', actions: closed('openShift') },
        ...choices(closed),
        ...questions(closed),
        undo: { actions: closed('undo') },
        next: { actions: closed('notNow') },
      },
    },
    open: {
      initial: 'grind',
      on: { 'shift ends': { target: 'closed', actions: closed('closeShift') } },
      states: {
        grind: {
          entry: grind('promptGrind'),
          on: {
            next: { target: 'dose', actions: grind('leaveGrind') },
            dose: [
              { guard: 'doseFits', target: 'tamp', actions: grind('noteDose') },
              { actions: grind('noteDose') },
            ],
            purged: { target: 'grind', reenter: true, actions: grind('purge') },
            'new bag': { actions: grind('newBag') },
            calibrate: { actions: grind('calibrate') },
            ...moves(grind),
            ...pour(grind),
            ...choices(grind),
            ...questions(grind),
            ...undo(grind),
          },
        },
        dose: {
          entry: dose('promptDose'),
          on: {
            next: { target: 'tamp', actions: dose('step') },
            dose: [
              { guard: 'doseFits', target: 'tamp', actions: dose('noteDose') },
              { actions: dose('noteDose') },
            ],
            ...moves(dose),
            ...pour(dose),
            ...questions(dose),
            ...undo(dose),
          },
        },
        tamp: {
          entry: tamp('promptTamp'),
          on: {
            next: { target: 'pull', actions: tamp('step') },
            'tamp force': { actions: tamp('noteTamp') },
            ...pour(tamp),
            ...questions(tamp),
            ...undo(tamp),
          },
        },
        pull: {
          initial: 'ready',
          states: {
            ready: {
              entry: ready('promptReady'),
              on: { ...pour(ready), ...questions(ready), ...undo(ready) },
            },
            pouring: {
              on: {
                'stop pour': [
                  { guard: 'falseStart', target: 'ready', actions: pouring('falseStart') },
                  { guard: 'endless', target: 'ready', actions: pouring('losePour') },
                  { target: '#loop.open.judge', actions: pouring('endPour') },
                ],
                tick: [
                  { guard: 'benchDone', target: '#loop.open.judge', actions: pouring('endPracticePour') },
                  { guard: 'endless', target: 'ready', actions: pouring('losePour') },
                  { guard: 'forgotten', actions: pouring('askForgotten') },
                ],
                resumed: [
                  { guard: 'longGone', target: 'ready', actions: pouring('losePour') },
                  { actions: pouring('resumePour') },
                ],
                ...questions(pouring),
                undo: { target: 'ready', actions: pouring('falseStart') },
              },
            },
          },
        },
        judge: {
          on: {
            'hand-off ended': { actions: [judge('noteHandOff'), judge('sayStep')] },
            look: { actions: judge('noteLook') },
            taste: { actions: judge('noteTaste') },
            'time was': { actions: judge('correctTime') },
            drink: { actions: judge('noteDrink') },
            next: [
              { guard: 'grindIsMeant', target: 'adjust', actions: judge('step') },
              { target: 'grind', actions: judge('startNextShot') },
            ],
            'leave it': { target: 'grind', actions: judge('leaveIt') },
            ...moves(judge),
            ...pour(judge),
            ...questions(judge),
            ...undo(judge),
          },
        },
        adjust: {
          entry: [adjust('sayStep'), adjust('promptAdjust')],
          on: {
            next: { target: 'grind', actions: adjust('moveAdvised') },
            'leave it': { target: 'grind', actions: adjust('leaveIt') },
            look: { actions: adjust('noteLook') },
            taste: { actions: adjust('noteTaste') },
            ...moves(adjust),
            ...questions(adjust),
            ...undo(adjust),
          },
        },
      },
    },
  },
})
