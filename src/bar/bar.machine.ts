import { assign, emit, enqueueActions, sendTo, setup, stopChild, type ActorRefFrom } from 'xstate'
import type { Intent, ServerRequest, Which } from '../messages/command.ts'
import type { Cue, Priority, SentenceId, SentenceValues } from '../messages/cue.ts'
import type { Entry } from '../messages/entry.ts'
import type { Drill } from '../messages/drill.ts'
import { drillMachine } from './drill.machine.ts'
import type { DrillEnded, DrillInput, MovedInDrill } from './drillDeeds.ts'
import { progressCue, withScore, type DrillRecord } from './drillProgress.ts'
import type { CommandEvent, NewEntry, Resumed, Tick, Upward } from './events.ts'
import { handOffMachine, type HandOffEnded } from './handOff.machine.ts'
import type { HouseEvent } from './loopDeeds.ts'
import { handOffTag, type HandOffClock } from './handOffCues.ts'
import { loopMachine, type Condemned, type Poured, type ReportWanted, type Unpoured } from './loop.machine.ts'
import { recipeOf, type LoopStart } from './loopContext.ts'
import { placeOf } from './place.ts'
import { changeSetting, type SettingName, type Settings } from './settings.ts'

export interface BarInput extends LoopStart {
  /** the drills that can be asked for */
  drills: readonly Drill[]
  /** how many voices the announcer has */
  voices: number
}

/** A clock that runs, and the actor that runs it. */
interface Waiting {
  clock: HandOffClock
  ref: ActorRefFrom<typeof handOffMachine>
}

interface BarContext {
  settings: Settings
  voices: number
  drills: readonly Drill[]
  start: LoopStart
  /** what a drill begins with, from the moment it is asked for */
  drillInput: DrillInput | null
  /** scores of drills, by person */
  scores: readonly DrillRecord[]
  waiting: readonly Waiting[]
  /** cups the next shot is split into */
  cups: number
  /** a command that waits for its yes */
  pending: CommandEvent | null
  /** the hand-off that "undo that" takes back, until something else is said */
  lastHandOff: { ended: HandOffEnded; entry: string } | null
  /** entries made here, for their ids */
  made: number
}

export type BarEvent =
  | CommandEvent
  | Tick
  | Resumed
  /** the app is up: `first` on a device that has never been used */
  | { type: 'begin'; first: boolean }
  /** the microphone, the recogniser or the store went away; the sentence says what to do */
  | { type: 'trouble'; sentence: SentenceId }
  | { type: 'hearing lost'; sentence: SentenceId }
  | { type: 'hearing back' }
  /** something was said that is no command here */
  | { type: 'not understood' }
  /** new settings, from the screen, a file or a command; `setting`: the one to answer for aloud */
  | { type: 'new settings'; settings: Settings; setting?: SettingName; at: number }
  | { type: 'pedal pressed'; code: string; at: number }
  /** a person's number was given a name */
  | { type: 'person named'; number: number; name: string; at: number }
  | HouseEvent
  | Upward
  | Poured
  | Unpoured
  | Condemned
  | HandOffEnded
  | MovedInDrill
  | DrillEnded
  | ReportWanted

export type BarEmitted =
  | { type: 'cue'; cue: Cue }
  | { type: 'entry'; entry: Entry }
  | { type: 'settings'; settings: Settings }
  /** the shift's report is asked for: whoever has the log tells it */
  | { type: 'report' }
  /** the server is asked for: whoever has the log answers */
  | { type: 'server'; request: ServerRequest }
  /** the recognition model before is asked for: whoever chose it answers */
  | { type: 'model back' }

/** Commands answered by whatever is at work. The rest are the bar's own. */
const workIntents = [
  'next',
  'grind by',
  'grind at',
  'purged',
  'dose',
  'drink',
  'start pour',
  'stop pour',
  'time was',
  'look',
  'taste',
  'leave it',
  'tamp force',
  'status',
  'why',
  'time',
  'open shift',
  'report',
  'recipe',
  'house recipe',
  'coffee',
  'grinder',
  'new bag',
  'person',
  'calibrate',
  'back',
  'skip',
] as const satisfies readonly Intent[]

const say = (sentence: SentenceId, priority: Priority = 'answer', values?: SentenceValues): Cue => ({
  kind: 'say',
  sentence,
  priority,
  ...(values && { values }),
})
const earcon = (name: Extract<Cue, { kind: 'earcon' }>['earcon']): Cue => ({ kind: 'earcon', earcon: name })
const heard = (...cues: Cue[]) => ({ type: 'perform', params: { cues } }) as const

/** The clocks a command means: named by cup, the latest, all, or the one that has waited longest. */
export function chosen<W extends { clock: HandOffClock }>(waiting: readonly W[], which: Which): readonly W[] {
  switch (which) {
    case 'all':
      return waiting
    case 'last':
      return waiting.slice(-1)
    case null:
      return waiting.slice(0, 1)
    case 'first':
    case 'second':
    case 'third': {
      const voice = { first: 1, second: 2, third: 3 }[which]
      return waiting.filter(({ clock }) => clock.voice === voice)
    }
  }
}

/** The lowest cup numbers that no running clock has. */
function freeVoices(waiting: readonly Waiting[], count: number): number[] {
  const taken = new Set(waiting.map(({ clock }) => clock.voice))
  const free: number[] = []
  for (let voice = 1; free.length < count; voice++) if (!taken.has(voice)) free.push(voice)
  return free
}

/** What a changed setting answers with. */
function settingCue(settings: Settings, setting: SettingName): Cue {
  switch (setting) {
    case 'prompts':
      return say(`setting.prompts.${settings.prompts}`)
    case 'handOffLimit':
      return say('setting.handOffLimit', 'answer', { seconds: settings.handOffLimit })
    case 'largerMoves':
    case 'digits':
    case 'nameToCall':
    case 'screenReader':
    case 'practice':
      return say(`setting.${setting}.${settings[setting] ? 'on' : 'off'}`)
    case 'speed':
      return say('setting.speed')
    case 'voice':
      return say('setting.voice')
    case 'pedal':
      return say('setting.pedal.learnt')
    default:
      return say('setting.loudness')
  }
}

/** Named commands of the bar that need a yes first, and how it asks. */
const asks = {
  'end shift': 'shift.ask-end',
  discard: 'handoff.ask-discard',
  'erase person': 'shift.ask-erase',
} as const

/** The question that waits for a yes or a no, if one does. */
export const questionOf = ({ pending }: Pick<BarContext, 'pending'>): SentenceId | null =>
  pending && pending.type in asks ? asks[pending.type as keyof typeof asks] : null

/**
 * The whole bar: the loop, a clock for each cup, listening, settings, and the yes before what cannot be undone.
 * It has no clock, sound or store of its own: it is told commands and the time, and emits cues and entries.
 */
export const barMachine = setup({
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
      (event.type === 'hand off' || event.type === 'discard') &&
      chosen(context.waiting, event.slots.which).length > 0,
    inDrill: ({ context }) => context.drillInput !== null,
    isDrill: ({ context, event }) =>
      event.type === 'drill' && context.drills.some(({ number }) => number === event.slots.number),
    canReopen: ({ context }) => context.lastHandOff !== null,
    pendingIs: ({ context }, params: { intent: Intent }) => context.pending?.type === params.intent,
  },
  actions: {
    /** Sounds the cues given. */
    perform: enqueueActions(({ enqueue }, params: { cues: readonly Cue[] }) => {
      for (const cue of params.cues) enqueue.emit({ type: 'cue', cue })
    }),
    /** Passes on what a child machine wants heard and logged. */
    passOn: enqueueActions(({ event, enqueue }) => {
      if (event.type !== 'out') return
      for (const entry of event.entries ?? []) enqueue.emit({ type: 'entry', entry })
      for (const cue of event.cues ?? []) enqueue.emit({ type: 'cue', cue })
    }),
    /** A drill that is being done answers in the loop's place. */
    toWork: enqueueActions(({ context, event, enqueue }) => {
      // "next" closes the settings, and nothing else
      if (context.pending?.type === 'settings' && event.type === 'next') return
      enqueue.sendTo(context.drillInput ? 'drill' : 'loop', event as CommandEvent)
      if (context.lastHandOff) enqueue.assign({ lastHandOff: null })
    }),
    /** The time, for every machine that waits for something. */
    spread: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'tick' && event.type !== 'resumed') return
      enqueue.sendTo('loop', event)
      if (context.drillInput) enqueue.sendTo('drill', event)
      for (const { ref } of context.waiting) enqueue.sendTo(ref, event)
    }),
    /** After a reload: where the work stands. */
    sayBack: enqueueActions(({ enqueue, context, self }) => {
      const loop = self.getSnapshot().children.loop?.getSnapshot()
      const place = context.drillInput ? 'drill' : loop ? placeOf(loop.value) : 'closed'
      enqueue.emit({
        type: 'cue',
        cue:
          place === 'closed'
            ? say('greeting.again')
            : say('greeting.back', 'answer', { place: `word.${place}` }),
      })
    }),
    startClocks: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'poured') return
      const cups = event.cups ?? context.cups
      // a named cup needs its name only when another could be meant
      const several = cups + context.waiting.length > 1
      enqueue.assign(({ spawn }) => ({
        waiting: [
          ...context.waiting,
          ...freeVoices(context.waiting, cups).map((voice): Waiting => {
            const clock = {
              shot: event.shot,
              voice,
              start: event.end,
              limit: context.settings.handOffLimit,
            }
            return {
              clock,
              ref: spawn('handOff', { id: handOffTag(clock), input: { clock, now: event.at, several } }),
            }
          }),
        ],
        cups: 1,
      }))
    }),
    handOff: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'hand off') return
      for (const { ref } of chosen(context.waiting, event.slots.which))
        enqueue.sendTo(ref, { type: 'serve', into: event.slots.into, at: event.onset })
    }),
    /** Ends the clocks of a shot, or those a command names, as thrown out. */
    discard: enqueueActions(({ context, event, enqueue }) => {
      const ended =
        event.type === 'condemned'
          ? context.waiting.filter(({ clock }) => clock.shot === event.shot)
          : context.pending?.type === 'discard'
            ? chosen(context.waiting, context.pending.slots.which)
            : []
      const at = event.type === 'condemned' ? event.at : 'onset' in event ? event.onset : 0
      for (const { ref } of ended) enqueue.sendTo(ref, { type: 'discard', at })
      if (event.type !== 'condemned') enqueue.emit({ type: 'cue', cue: say('handoff.discarded') })
    }),
    /** A pour was taken back: its clocks never were. */
    dropClocks: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'unpoured') return
      for (const { clock, ref } of context.waiting)
        if (clock.shot === event.shot) {
          enqueue.sendTo(ref, { type: 'drop' })
          enqueue(stopChild(ref))
        }
      enqueue.assign({ waiting: context.waiting.filter(({ clock }) => clock.shot !== event.shot) })
    }),
    logHandOff: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'hand-off ended') return
      const { clock, outcome, into, margin, at } = event
      const id = `${Math.round(at * 1000)}-h${context.made}`
      const entry: NewEntry = {
        kind: 'hand-off',
        at,
        shot: clock.shot,
        outcome,
        margin,
        ...(into && { into }),
      }
      enqueue.emit({ type: 'entry', entry: { ...entry, id } })
      enqueue.sendTo(context.drillInput ? 'drill' : 'loop', event)
      const ended = context.waiting.find(
        ({ clock: { shot, voice } }) => shot === clock.shot && voice === clock.voice,
      )
      if (ended) enqueue(stopChild(ended.ref))
      enqueue.assign({
        waiting: context.waiting.filter((other) => other !== ended),
        lastHandOff: outcome === 'served' ? { ended: event, entry: id } : context.lastHandOff,
        made: context.made + 1,
      })
    }),
    /** "Undo that" after a hand-off: the cup is still waiting, with the time it has left. */
    reopen: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'undo' || !context.lastHandOff) return
      const { ended, entry } = context.lastHandOff
      const at = event.onset
      enqueue.emit({
        type: 'entry',
        entry: { kind: 'taken back', at, entry, id: `${Math.round(at * 1000)}-h${context.made}` },
      })
      enqueue.sendTo('loop', { type: 'hand-off reopened', clock: ended.clock })
      enqueue.assign(({ spawn }) => ({
        made: context.made + 1,
        lastHandOff: null,
        waiting: [
          ...context.waiting,
          {
            clock: ended.clock,
            ref: spawn('handOff', {
              id: `${handOffTag(ended.clock)} again`,
              input: { clock: ended.clock, now: at, several: context.waiting.length > 0 },
            }),
          },
        ],
      }))
      enqueue.emit({ type: 'cue', cue: say('handoff.reopened') })
    }),
    keepPending: assign({ pending: ({ event }) => ('slots' in event ? (event as CommandEvent) : null) }),
    forgetPending: assign({ pending: null }),
    ask: enqueueActions(({ event, enqueue }) => {
      if (event.type in asks)
        enqueue.emit({ type: 'cue', cue: say(asks[event.type as keyof typeof asks], 'warning') })
    }),
    change: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'set') return
      const changed = changeSetting(context.settings, event.slots, context.voices)
      if ('refused' in changed) {
        enqueue.emit({ type: 'cue', cue: earcon('not understood') })
        enqueue.emit({
          type: 'cue',
          cue: say(changed.refused === 'at the end' ? 'setting.at-the-end' : 'setting.out-of-range'),
        })
        return
      }
      enqueue.raise({ type: 'new settings', ...changed, at: event.onset })
    }),
    /** Takes new settings into use, logs what changed and answers in the new way. */
    use: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'new settings') return
      const { settings, setting, at } = event
      const names = (Object.keys(settings) as SettingName[]).filter(
        (name) => settings[name] !== context.settings[name],
      )
      names.forEach((name, index) =>
        enqueue.emit({
          type: 'entry',
          entry: {
            kind: 'setting changed',
            at,
            setting: name,
            from: context.settings[name],
            to: settings[name],
            id: `${Math.round(at * 1000)}-s${context.made + index}`,
          },
        }),
      )
      enqueue.assign({ settings, made: context.made + names.length })
      enqueue.emit({ type: 'settings', settings })
      enqueue.sendTo('loop', { type: 'new settings', settings, at })
      if (context.drillInput) enqueue.sendTo('drill', { type: 'new settings', settings, at })
      if (setting) enqueue.emit({ type: 'cue', cue: settingCue(settings, setting) })
    }),
    erase: enqueueActions(({ context, event, enqueue }) => {
      if (context.pending?.type !== 'erase person' || !('onset' in event)) return
      const { number } = context.pending.slots
      enqueue.sendTo('loop', { type: 'erased', person: number })
      enqueue.emit({
        type: 'entry',
        entry: {
          kind: 'person erased',
          at: event.onset,
          person: number,
          id: `${Math.round(event.onset * 1000)}-e${context.made}`,
        },
      })
      enqueue.assign({
        made: context.made + 1,
        scores: context.scores.filter(({ person }) => person !== number),
      })
    }),
    name: enqueueActions(({ context, event, enqueue }) => {
      if (event.type !== 'person named') return
      const { number, name, at } = event
      enqueue.emit({
        type: 'entry',
        entry: {
          kind: 'named',
          what: 'person',
          number,
          name,
          at,
          id: `${Math.round(at * 1000)}-n${context.made}`,
        },
      })
      enqueue.assign({ made: context.made + 1 })
      enqueue.emit({ type: 'cue', cue: earcon('logged') })
    }),
    helpHere: enqueueActions(({ context, event, enqueue }) => {
      if (context.pending)
        enqueue.emit({
          type: 'cue',
          cue: say(context.pending.type === 'settings' ? 'help.settings' : 'help.confirm'),
        })
      else enqueue.sendTo(context.drillInput ? 'drill' : 'loop', event as CommandEvent)
    }),
    /** Takes what a drill begins with from where the loop stands. */
    prepareDrill: enqueueActions(({ context, event, enqueue, self }) => {
      const loop = self.getSnapshot().children.loop?.getSnapshot().context
      const drill =
        event.type === 'drill' && context.drills.find(({ number }) => number === event.slots.number)
      if (!loop || !drill) return
      const { recipe, coffee, grinder, person, notch, randomSeed } = loop
      enqueue.assign({
        drillInput: {
          drill,
          settings: context.settings,
          recipe: recipeOf(loop),
          recipeName: recipe,
          coffee,
          grinder,
          person,
          notch,
          randomSeed,
          now: event.type === 'drill' ? event.onset : 0,
        },
      })
    }),
    endDrill: enqueueActions(({ context, event, enqueue, self }) => {
      if (event.type !== 'drill ended') return
      const person = self.getSnapshot().children.loop?.getSnapshot().context.person ?? null
      enqueue.assign({
        drillInput: null,
        scores: event.score ? withScore(context.scores, event, person) : context.scores,
      })
    }),
    tellProgress: enqueueActions(({ context, event, enqueue, self }) => {
      if (event.type !== 'progress') return
      const person = self.getSnapshot().children.loop?.getSnapshot().context.person ?? null
      for (const cue of progressCue(context.scores, person, event.onset)) enqueue.emit({ type: 'cue', cue })
    }),
  },
}).createMachine({
  id: 'bar',
  type: 'parallel',
  context: ({ input }) => ({
    settings: input.settings,
    voices: input.voices,
    drills: input.drills,
    drillInput: null,
    scores: [],
    start: input,
    waiting: [],
    cups: 1,
    pending: null,
    lastHandOff: null,
    made: 0,
  }),
  invoke: { id: 'loop', src: 'loop', input: ({ context }) => context.start },
  on: {
    ...(Object.fromEntries(workIntents.map((intent) => [intent, { actions: 'toWork' }])) as Record<
      (typeof workIntents)[number],
      { actions: 'toWork' }
    >),
    out: { actions: 'passOn' },
    'report wanted': { actions: emit({ type: 'report' }) },
    tick: { actions: 'spread' },
    poured: { actions: 'startClocks' },
    unpoured: { actions: 'dropClocks' },
    condemned: { actions: 'discard' },
    'hand-off ended': { actions: 'logHandOff' },
    'moved in drill': {
      actions: sendTo('loop', ({ event }) => event),
    },
    progress: { actions: 'tellProgress' },
    'stop drill': { actions: 'toWork' },
    'hand off': [{ guard: 'cupNamed', actions: 'handOff' }, { actions: heard(say('handoff.none')) }],
    'hand off refused': {
      actions: enqueueActions(({ event, enqueue }) => {
        if (event.type === 'hand off refused')
          enqueue.emit({
            type: 'cue',
            cue: say(`handoff.not-liquid.${event.slots.into}`, 'warning'),
          })
      }),
    },
    cups: {
      actions: [
        assign({ cups: ({ context, event }) => (event.type === 'cups' ? event.slots.count : context.cups) }),
        enqueueActions(({ context, enqueue }) => {
          enqueue.emit({ type: 'cue', cue: say('shot.cups', 'answer', { count: context.cups }) })
        }),
      ],
    },
    undo: [{ guard: 'canReopen', actions: 'reopen' }, { actions: 'toWork' }],
    repeat: {
      actions: emit(({ event }) => ({
        type: 'cue',
        cue: { kind: 'again', slower: event.slots.slower, spelled: false },
      })),
    },
    spell: { actions: emit({ type: 'cue', cue: { kind: 'again', slower: true, spelled: true } }) },
    hush: { actions: heard({ kind: 'hush' }) },
    help: { actions: 'helpHere' },
    set: { actions: 'change' },
    server: { actions: emit(({ event }) => ({ type: 'server', request: event.slots.request })) },
    'model back': { actions: emit({ type: 'model back' }) },
    'new settings': { actions: 'use' },
    'person named': { actions: 'name' },
    'house card': { actions: sendTo('loop', ({ event }) => event) },
    'house settled': { actions: sendTo('loop', ({ event }) => event) },
    begin: {
      actions: enqueueActions(({ event, enqueue }) => {
        if (event.type === 'begin')
          enqueue.emit({ type: 'cue', cue: say(event.first ? 'greeting.first' : 'greeting.again') })
      }),
    },
    resumed: { actions: ['spread', 'sayBack'] },
    trouble: {
      actions: enqueueActions(({ event, enqueue }) => {
        if (event.type !== 'trouble') return
        enqueue.emit({ type: 'cue', cue: earcon('trouble') })
        enqueue.emit({ type: 'cue', cue: say(event.sentence, 'warning') })
      }),
    },
    'not understood': { actions: heard(earcon('not understood')) },
  },
  states: {
    listening: {
      initial: 'on',
      states: {
        on: {
          on: {
            'pause listening': { target: 'paused', actions: heard(say('talk.paused')) },
          },
        },
        paused: {
          on: { 'resume listening': { target: 'on', actions: heard(earcon('heard'), say('talk.resumed')) } },
        },
        lost: { on: { 'hearing back': { target: 'on', actions: heard(say('talk.resumed')) } } },
      },
      on: {
        'hearing lost': {
          target: '.lost',
          actions: enqueueActions(({ event, enqueue }) => {
            if (event.type !== 'hearing lost') return
            enqueue.emit({ type: 'cue', cue: earcon('trouble') })
            enqueue.emit({ type: 'cue', cue: say(event.sentence, 'warning') })
          }),
        },
      },
    },
    asking: {
      initial: 'nothing',
      states: {
        nothing: {
          entry: 'forgetPending',
          on: {
            // a drill may have asked, too
            yes: { guard: 'inDrill', actions: 'toWork' },
            no: { guard: 'inDrill', actions: 'toWork' },
            'end shift': { target: 'confirming', actions: ['keepPending', 'ask'] },
            'erase person': { target: 'confirming', actions: ['keepPending', 'ask'] },
            discard: [
              { guard: 'cupNamed', target: 'confirming', actions: ['keepPending', 'ask'] },
              { actions: heard(say('handoff.none')) },
            ],
            settings: { target: 'setting', actions: ['keepPending', heard(say('setting.open'))] },
            'learn pedal': { target: 'learning', actions: heard(say('setting.pedal.press')) },
          },
        },
        confirming: {
          on: {
            yes: [
              {
                guard: { type: 'pendingIs', params: { intent: 'end shift' } },
                target: 'nothing',
                actions: sendTo('loop', ({ event }) => ({ type: 'shift ends', at: event.onset })),
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
            no: { target: 'nothing', actions: heard(say('talk.cancelled')) },
          },
        },
        setting: {
          on: {
            next: { target: 'nothing', actions: heard(say('setting.closed')) },
            'learn pedal': { target: 'learning', actions: heard(say('setting.pedal.press')) },
          },
        },
        learning: {
          on: {
            'pedal pressed': {
              target: 'nothing',
              actions: enqueueActions(({ context, event, enqueue }) => {
                if (event.type === 'pedal pressed')
                  enqueue.raise({
                    type: 'new settings',
                    settings: { ...context.settings, pedal: event.code },
                    setting: 'pedal',
                    at: event.at,
                  })
              }),
            },
            no: { target: 'nothing', actions: heard(say('talk.cancelled')) },
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
              {
                actions: enqueueActions(({ context, event, enqueue }) => {
                  if (event.type === 'drill')
                    enqueue.emit({
                      type: 'cue',
                      cue: say('drill.unknown', 'answer', {
                        number: event.slots.number,
                        count: context.drills.length,
                      }),
                    })
                }),
              },
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
            drill: { actions: heard(earcon('not understood'), say('trouble.not-now')) },
          },
        },
      },
    },
  },
})
