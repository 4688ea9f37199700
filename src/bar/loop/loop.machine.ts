import { and, setup } from 'xstate'
import { recipeRanges } from '../../coffee/index.ts'
import type { Upward } from '../events.ts'
import { entryId } from '../ids.ts'
import { placeOf } from '../place.ts'
import { loopActions, type LoopActionName } from './actions.ts'
import { type LoopAction, type LoopEvent } from './effect.ts'
import { isWithin, ranges, startLoop, type LoopContext, type LoopStart, type Place } from './loopContext.ts'
import { grinderToMove } from './grind.ts'
import { pourMachine } from './pour.machine.ts'
import { endOf, latestPour, pourOf, startOf } from './whichPour.ts'

/** How long the pour is that an event ends. Seconds; nothing when it ends none. */
function pourLength(context: LoopContext, event: LoopEvent): number | null {
  const pour = pourOf(context, event)
  return pour && endOf(context, event) - pour.start
}

const base = setup({
  types: {
    context: {} as LoopContext,
    input: {} as LoopStart,
    events: {} as LoopEvent,
  },
  actors: { pour: pourMachine },
  guards: {
    isCommand: ({ event }) => 'intent' in event,
    doseFits: ({ event }) => event.type === 'dose' && isWithin(event.slots.amount, recipeRanges.dose),
    movesWithinReach: ({ context, event }, { place }: { place: Place }) =>
      event.type === 'grind by' &&
      isWithin(Math.abs(event.slots.notches), ranges.move) &&
      isWithin(grinderToMove(context, place).notch + event.slots.notches, ranges.notch),
    isASetting: ({ event }) => event.type === 'grind at' && isWithin(event.slots.notch, ranges.notch),
    starts: ({ context, event }) => 'group' in startOf(context, event),
    isAmbiguous: ({ context }) => context.pours.length > 1,
    endsOne: ({ context, event }) => pourOf(context, event) !== null,
    endsFalseStart: ({ context, event }) => (pourLength(context, event) ?? Infinity) < ranges.pour.low,
    endsEndless: ({ context, event }) => (pourLength(context, event) ?? 0) > ranges.pour.high,
    isLastPour: ({ context }) => context.pours.length === 1,
    beganLast: ({ context }) => {
      const pour = latestPour(context)
      return pour !== null && context.undo.at(-1)?.began === pour.id
    },
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
    const made = (effect.change?.made ?? context.made) + entries.length
    enqueue.assign({ ...effect.change, made })
    const out: Upward = { type: 'out', cues: effect.cues ?? [], entries }
    enqueue.sendParent(out)
    for (const input of effect.watch ?? []) enqueue.spawnChild('pour', { id: `pour ${input.shot}`, input })
    for (const shot of effect.unwatch ?? []) enqueue.stopChild(`pour ${shot}`)
    if (effect.toPours) for (const { id } of context.pours) enqueue.sendTo(`pour ${id}`, effect.toPours)
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
const movesIn = (place: Place) =>
  ({
    'grind by': [
      {
        guard: { type: 'movesWithinReach', params: { place } },
        target: '#loop.open.grind',
        actions: 'moveGrind',
      },
      { actions: 'moveGrind' },
    ],
    'grind at': [
      { guard: 'isASetting', target: '#loop.open.grind', actions: 'setGrind' },
      { actions: 'setGrind' },
    ],
  }) as const

const dose = [
  { guard: 'doseFits', target: '#loop.open.tamp', actions: 'noteDose' },
  { actions: 'noteDose' },
] as const
const starts = [
  { guard: 'starts', target: '#loop.open.pull.pouring', actions: 'beginPour' },
  // it says why not
  { actions: 'beginPour' },
] as const

/** What the end of a pour leads to, while the hands are elsewhere. */
const ends = [
  { guard: 'endsFalseStart', actions: 'falseStart' },
  { guard: 'endsEndless', actions: 'losePour' },
  { guard: 'endsOne', target: '#loop.open.judge', actions: 'endPour' },
] as const

/** An undo of something said in a place goes back there. */
const back = (place: Place, target: string) => ({
  guard: { type: 'cameFrom', params: { place } } as const,
  target,
  actions: 'undo' as const,
})

/** Where an undo leads. */
const undone = [
  back('grind', '#loop.open.grind'),
  back('dose', '#loop.open.dose'),
  back('tamp', '#loop.open.tamp'),
  back('ready', '#loop.open.pull.ready'),
  // the pour itself is over: what is taken back is its shot, and the next one is ready to be pulled
  back('pouring', '#loop.open.pull.ready'),
  back('judge', '#loop.open.judge'),
  back('adjust', '#loop.open.adjust'),
  { actions: 'undo' },
] as const

/** The same while the hands wait for the pour: with the last pour gone, the basket is locked in as before. */
const lastEnds = [
  { guard: and(['endsFalseStart', 'isLastPour']), target: '#loop.open.pull.ready', actions: 'falseStart' },
  { guard: and(['endsEndless', 'isLastPour']), target: '#loop.open.pull.ready', actions: 'losePour' },
] as const

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
    tick: { actions: 'watchPours' },
    resumed: { actions: 'watchPours' },
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
        'missed pour': { target: '.judge', actions: 'countMissedPour' },
        'shift ends': { target: 'closed', actions: 'closeShift' },
        'start pour': starts,
        'start group': starts,
        'stop pour': [{ guard: 'isAmbiguous', actions: 'askWhich' }, ...ends],
        'stop group': [...ends, { actions: 'noPourThere' }],
        'pour is done': { target: '.judge', actions: 'endPour' },
        'pour is lost': { actions: 'losePour' },
        'pour is long': { actions: 'askForgotten' },
        'pour goes on': { actions: 'resumePour' },
        undo: [{ guard: 'beganLast', actions: 'falseStart' }, ...undone],
      },
      states: {
        grind: {
          entry: 'promptGrind',
          on: {
            next: { target: 'dose', actions: 'step' },
            dose,
            purged: { target: 'grind', reenter: true, actions: 'purge' },
            'new bag': { actions: 'newBag' },
            calibrate: { actions: 'calibrate' },
            ...movesIn('grind'),
            ...choices,
          },
        },
        dose: {
          entry: 'promptDose',
          on: { next: { target: 'tamp', actions: 'step' }, dose, ...movesIn('dose') },
        },
        tamp: {
          entry: 'promptTamp',
          on: { next: { target: 'pull', actions: 'step' }, 'tamp force': { actions: 'noteTamp' } },
        },
        pull: {
          initial: 'ready',
          states: {
            ready: { entry: 'promptReady' },
            pouring: {
              on: {
                'first drip': { actions: 'noteFirstDrip' },
                look: { actions: 'noteSign' },
                'stop pour': [{ guard: 'isAmbiguous', actions: 'askWhich' }, ...lastEnds, ...ends],
                'stop group': [...lastEnds, ...ends, { actions: 'noPourThere' }],
                'pour is lost': [
                  { guard: 'isLastPour', target: 'ready', actions: 'losePour' },
                  { actions: 'losePour' },
                ],
                undo: [
                  {
                    guard: and(['beganLast', 'isLastPour']),
                    target: 'ready',
                    actions: 'falseStart',
                  },
                  { guard: 'beganLast', actions: 'falseStart' },
                  ...undone,
                ],
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
            ...movesIn('judge'),
          },
        },
        adjust: {
          entry: ['sayStep', 'promptAdjust'],
          on: {
            next: { target: 'grind', actions: 'moveAdvised' },
            purged: { actions: 'purge' },
            'leave it': { target: 'grind', actions: 'leaveIt' },
            look: { actions: 'noteLook' },
            taste: { actions: 'noteTaste' },
            'time was': { actions: 'correctTime' },
            strength: { actions: 'noteStrength' },
            drink: { actions: 'noteDrink' },
            'serve anyway': { actions: 'overrule' },
            ...movesIn('adjust'),
          },
        },
      },
    },
  },
})
