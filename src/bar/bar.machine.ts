import { setup } from 'xstate'
import type { Intent } from '../messages/command.ts'
import { barActions, type BarActionName } from './actions.ts'
import { startBar, type BarContext, type BarEmitted, type BarEvent, type BarInput } from './barContext.ts'
import { isCupNamed } from './clocks.ts'
import { drillMachine } from './drill/drill.machine.ts'
import type { BarAction } from './effect.ts'
import { handOffMachine } from './handOff/handOff.machine.ts'
import { handOffTag } from './handOff/handOffCues.ts'
import { entryId } from './ids.ts'
import { loopMachine } from './loop/loop.machine.ts'
import { placeOf } from './place.ts'
import { answerWithin } from './repair/repairContext.ts'

const base = setup({
  types: {
    context: {} as BarContext,
    input: {} as BarInput,
    events: {} as BarEvent,
    emitted: {} as BarEmitted,
    children: {} as { loop: 'loop'; drill: 'drill' },
  },
  actors: { loop: loopMachine, handOff: handOffMachine, drill: drillMachine },
  guards: {
    cupNamed: ({ context, event }) =>
      (event.type === 'hand off' || event.type === 'discard') && isCupNamed(context, event.slots.which),
    isDrill: ({ context, event }) =>
      event.type === 'drill' && context.drills.some(({ number }) => number === event.slots.number),
    canReopen: ({ context }) => context.lastHandOff !== null,
    /** a command that no part of the bar answers itself */
    isCommand: ({ event }) => 'intent' in event,
    isTimeWanted: ({ context }) => context.repair.question?.kind === 'time wanted',
    isStartMissed: ({ context: { repair } }) =>
      repair.question?.kind === 'missed start' ||
      (repair.question?.kind === 'time wanted' && repair.question.start === null),
    isAnswerOverdue: ({ context, event }) =>
      event.type === 'tick' && event.at > (context.repair.question?.at ?? 0) + answerWithin,
    isOfferOverdue: ({ context, event }) =>
      event.type === 'tick' && event.at > (context.clockOffered ?? 0) + answerWithin,
    pendingIs: ({ context }, params: { intent: Intent }) => context.pending?.type === params.intent,
  },
})

/** Carries out what a pure function of the bar returns. */
const carryOut = (act: BarAction) =>
  base.enqueueActions(({ context, event, enqueue, self }) => {
    const loop = self.getSnapshot().children.loop?.getSnapshot()
    if (!loop) throw new Error('the bar has no loop')
    const effect = act(context, event, { loop: loop.context, place: placeOf(loop.value) })
    const entries = effect.entries ?? []
    entries.forEach((entry, index) =>
      enqueue.emit({
        type: 'entry',
        entry: { ...entry, id: entryId('bar', entry.at, context.made + index) },
      }),
    )
    enqueue.assign({ ...effect.change, made: context.made + entries.length })
    for (const emitted of effect.emit ?? []) enqueue.emit(emitted)
    for (const cue of effect.cues ?? []) enqueue.emit({ type: 'cue', cue })
    for (const sent of effect.toLoop ?? []) enqueue.sendTo('loop', sent)
    if (context.drillInput) for (const sent of effect.toDrill ?? []) enqueue.sendTo('drill', sent)
    for (const sent of effect.toWork ?? []) enqueue.sendTo(context.drillInput ? 'drill' : 'loop', sent)
    for (const { tag, event: sent } of effect.toClocks ?? []) enqueue.sendTo(tag, sent)
    for (const tag of effect.stopClocks ?? []) enqueue.stopChild(tag)
    for (const input of effect.startClocks ?? [])
      enqueue.spawnChild('handOff', { id: handOffTag(input.clock), input })
    for (const raised of effect.raise ?? []) enqueue.raise(raised)
  })

const actions = Object.fromEntries(
  Object.entries(barActions).map(([name, act]) => [name, carryOut(act)]),
) as Record<BarActionName, ReturnType<typeof carryOut>>

/**
 * The whole bar: the loop, a clock for each cup, listening, settings, and the yes before what cannot be undone.
 * It has no clock, sound or store of its own: it is given commands and the time, and emits cues and entries.
 * What an event does is a pure function of the same name; this file only says when.
 */
export const barMachine = base
  .extend({ actions: { ...actions, forgetPending: base.assign({ pending: null }) } })
  .createMachine({
    id: 'bar',
    type: 'parallel',
    context: ({ input }) => startBar(input),
    invoke: { id: 'loop', src: 'loop', input: ({ context }) => context.start },
    on: {
      // --- from the work and the clocks
      out: { actions: 'passOn' },
      'report wanted': { actions: 'askForReport' },
      poured: { actions: ['startClocks', 'goOn'] },
      unpoured: { actions: 'dropClocks' },
      condemned: { actions: 'condemn' },
      overruled: { actions: 'overrule' },
      'hand-off ended': { actions: 'logHandOff' },
      'moved in drill': { actions: 'passToLoop' },
      // --- from the app
      begin: { actions: 'greet' },
      tick: { actions: ['spreadTime', 'followRun'] },
      resumed: { actions: ['spreadTime', 'greetBack'] },
      trouble: { actions: 'warnOfTrouble' },
      utterance: { actions: ['rememberSound', 'hear'] },
      'pump known': { actions: 'knowPump' },
      'pump began': { actions: 'beginRun' },
      'pump ended': { actions: 'endRun' },
      'new settings': { actions: 'useSettings' },
      'person named': { actions: 'namePerson' },
      'house card': { actions: 'passToLoop' },
      'house settled': { actions: 'passToLoop' },
      // --- commands that mean the same wherever the work is
      'hand off': [{ guard: 'cupNamed', actions: 'serve' }, { actions: 'noCup' }],
      'hand off refused': { actions: 'refuseLiquid' },
      cups: { actions: 'setCups' },
      undo: [{ guard: 'canReopen', actions: 'reopen' }, { actions: 'passToWork' }],
      repeat: { actions: 'sayAgain' },
      spell: { actions: 'sayAgain' },
      hush: { actions: 'hush' },
      help: { actions: 'help' },
      'stop pour': { actions: 'stopPour' },
      progress: { actions: 'progress' },
      set: { actions: 'changeSetting' },
      server: { actions: 'askServer' },
      'model back': { actions: 'askForModel' },
      'forget pump': { actions: 'forgetPump' },
      // --- every other command is for the loop, or for the drill that is being done
      '*': { guard: 'isCommand', actions: 'passToWork' },
    },
    states: {
      listening: {
        initial: 'on',
        states: {
          on: { on: { 'pause listening': { target: 'paused', actions: 'pauseListening' } } },
          paused: { on: { 'resume listening': { target: 'on', actions: 'resumeListening' } } },
          lost: { on: { 'hearing back': { target: 'on', actions: 'hearAgain' } } },
        },
        on: { 'hearing lost': { target: '.lost', actions: 'warnOfTrouble' } },
      },
      asking: {
        initial: 'nothing',
        states: {
          nothing: {
            entry: 'forgetPending',
            on: {
              'end shift': { target: 'confirming', actions: ['keepPending', 'ask'] },
              'erase person': { target: 'confirming', actions: ['keepPending', 'ask'] },
              discard: [
                { guard: 'cupNamed', target: 'confirming', actions: ['keepPending', 'ask'] },
                { actions: 'noCup' },
              ],
              settings: { target: 'setting', actions: ['keepPending', 'openSettings'] },
              'learn pedal': { target: 'learning', actions: 'askForPedal' },
              'offer no clock': { target: 'offering', actions: 'offerNoClock' },
              ask: { target: 'repairing', actions: 'askRepair' },
            },
          },
          // an offer: yes, no, or anything else that is said, which is then done
          offering: {
            on: {
              yes: { target: 'nothing', actions: 'leaveOutClock' },
              no: { target: 'nothing', actions: 'cancelled' },
              tick: [
                { guard: 'isOfferOverdue', target: 'nothing', actions: ['spreadTime', 'followRun'] },
                { actions: ['spreadTime', 'followRun'] },
              ],
              '*': { guard: 'isCommand', target: 'nothing', actions: 'dropQuestion' },
            },
          },
          // a misunderstanding is asked about: yes, no, or the right words
          repairing: {
            on: {
              yes: { target: 'nothing', actions: 'agree' },
              no: { target: 'nothing', actions: 'disagree' },
              'time was': [
                { guard: 'isTimeWanted', target: 'nothing', actions: 'countTime' },
                { target: 'nothing', actions: 'dropQuestion' },
              ],
              // said once more, it is answered by the question
              'stop pour': [
                { guard: 'isStartMissed', actions: 'hush' },
                { target: 'nothing', actions: 'dropQuestion' },
              ],
              tick: [
                {
                  guard: 'isAnswerOverdue',
                  target: 'nothing',
                  actions: ['forgetQuestion', 'spreadTime', 'followRun'],
                },
                { actions: ['spreadTime', 'followRun'] },
              ],
              '*': { guard: 'isCommand', target: 'nothing', actions: 'dropQuestion' },
            },
          },
          confirming: {
            on: {
              yes: [
                {
                  guard: { type: 'pendingIs', params: { intent: 'end shift' } },
                  target: 'nothing',
                  actions: 'endShift',
                },
                {
                  guard: { type: 'pendingIs', params: { intent: 'discard' } },
                  target: 'nothing',
                  actions: 'discard',
                },
                {
                  guard: { type: 'pendingIs', params: { intent: 'erase person' } },
                  target: 'nothing',
                  actions: 'erase',
                },
              ],
              no: { target: 'nothing', actions: 'cancelled' },
            },
          },
          setting: {
            on: {
              next: { target: 'nothing', actions: 'closeSettings' },
              'learn pedal': { target: 'learning', actions: 'askForPedal' },
            },
          },
          learning: {
            on: {
              'pedal pressed': { target: 'nothing', actions: 'learnPedal' },
              no: { target: 'nothing', actions: 'cancelled' },
            },
          },
        },
      },
      work: {
        initial: 'loop',
        states: {
          loop: {
            on: {
              drill: [
                { guard: 'isDrill', target: 'drill', actions: 'prepareDrill' },
                { actions: 'unknownDrill' },
              ],
            },
          },
          drill: {
            invoke: {
              id: 'drill',
              src: 'drill',
              input: ({ context }) => {
                if (!context.drillInput) throw new Error('a drill begins with nothing')
                return context.drillInput
              },
            },
            on: {
              'drill ended': { target: 'loop', actions: 'endDrill' },
              drill: { actions: 'alreadyInDrill' },
            },
          },
        },
      },
    },
  })
