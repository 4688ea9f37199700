import {
  advise,
  beginDriftMonitor,
  carryOver,
  checkRecipe,
  createBench,
  fluidOuncesToMillilitres,
  judge,
  nextStep,
  observePurge,
  observeShot,
  OutOfRange,
  pullShot,
  purgeBench,
  recipeRanges,
  scatterOf,
  steadiness,
  watchDrift,
  type GrinderBelief,
  type Judgement,
  type NextStep,
  type Recipe,
} from '../coffee/index.ts'
import type { Cue, Priority, SentenceId, SentenceValues } from '../messages/cue.ts'
import type { CommandEvent, NewEntry, Resumed, Tick } from './events.ts'
import type { HandOffEnded } from './handOff.machine.ts'
import type { HandOffClock } from './handOffCues.ts'
import {
  beliefKey,
  beliefOf,
  newShot,
  newTally,
  ranges,
  recipeOf,
  remember,
  type CurrentShot,
  type LoopContext,
  type Place,
  type Work,
} from './loopContext.ts'
import { marksUntil, pourMarks, pourSound, pourTag } from './pourMarks.ts'
import type { Settings } from './settings.ts'

/** A pour has ended: the bar starts its hand-off clocks. */
/** `cups`: how many cups it is split into, when the bar was not told */
export type Poured = { type: 'poured'; shot: string; end: number; at: number; cups?: number }
/** A pour was taken back: its clocks are dropped. */
export type Unpoured = { type: 'unpoured'; shot: string }
/** The shift's report is asked for: whoever has the log tells it. */
export type ReportWanted = { type: 'report wanted' }
/** The shot must not be served, whatever its clock says. */
export type Condemned = { type: 'condemned'; shot: string; at: number }

export type HouseEvent =
  /** the house recipe as the log of all devices has it */
  | { type: 'house card'; house: Recipe; at: number }
  /** a part of the house recipe was chosen on the screen, of two that devices set apart */
  | { type: 'house settled'; change: HouseChange; at: number }

export type LoopEvent =
  | CommandEvent
  | Tick
  | Resumed
  | HandOffEnded
  /** a hand-off was taken back: its clock runs on */
  | { type: 'hand-off reopened'; clock: HandOffClock }
  | { type: 'new settings'; settings: Settings; at: number }
  /** the grind was moved in a drill */
  | { type: 'moved in drill'; notches: number; at: number }
  /** "end the shift" after its yes */
  | { type: 'shift ends'; at: number }
  | { type: 'erased'; person: number }
  | HouseEvent

/** What a deed changes, sounds, logs and tells: a value, carried out by the machine. */
export interface Effect {
  change?: Partial<LoopContext>
  cues?: readonly Cue[]
  entries?: readonly NewEntry[]
  tell?: readonly (Poured | Unpoured | Condemned | ReportWanted)[]
}

/** A deed of the loop: what a command does in a place, as a pure function. */
export type Deed = (context: LoopContext, event: LoopEvent, place: Place) => Effect

const say = (
  sentence: SentenceId,
  values?: SentenceValues,
  priority: Priority = 'answer',
): Extract<Cue, { kind: 'say' }> => ({ kind: 'say', sentence, priority, ...(values && { values }) })

const prompt = (sentence: SentenceId, values?: SentenceValues) => say(sentence, values, 'prompt')
const logged: Cue = { kind: 'earcon', earcon: 'logged' }

/** The event as a command of one intent. A deed wired to another event is a mistake of the machine's. */
function as<I extends CommandEvent['type']>(event: LoopEvent, type: I): Extract<CommandEvent, { type: I }> {
  if (event.type !== type) throw new Error(`deed for "${type}" was given "${event.type}"`)
  return event as Extract<CommandEvent, { type: I }>
}

/** Bar time of an event: of a command, when its first word began. */
export const timeOf = (event: LoopEvent, fallback: number) =>
  'onset' in event ? event.onset : 'at' in event ? event.at : fallback

const nowOf = (context: LoopContext, event: LoopEvent) => timeOf(event, context.tally.openedAt)

/** Marks a change that "undo that" can take back. */
function undoable(context: LoopContext, place: Place, effect: Effect, poured?: string): Effect {
  const before = Object.keys(effect.change ?? {}).map((key) => [key, context[key as keyof LoopContext]])
  return {
    ...effect,
    change: {
      ...effect.change,
      undo: remember(context, {
        place,
        work: Object.fromEntries(before) as Partial<Work>,
        // ids are given when the entries are made, in order from `made` on
        entries: (effect.entries ?? []).map((entry, index) => entryId(entry.at, context.made + index)),
        ...(poured !== undefined && { poured }),
      }),
    },
  }
}

/** Id of the nth entry a device's loop makes. */
export const entryId = (at: number, nth: number) => `${Math.round(at * 1000)}-${nth}`

const between = (value: number, range: { low: number; high: number }) =>
  Number.isFinite(value) && value >= range.low && value <= range.high

const recipeWord = (context: LoopContext): SentenceId => `word.${context.recipe}`

/** The drink that was said, in millilitres or grams. */
function drinkOf(event: Extract<CommandEvent, { type: 'drink' }>) {
  const { amount, unit } = event.slots
  return unit === 'grams'
    ? { grams: amount }
    : { millilitres: unit === 'fluid ounces' ? fluidOuncesToMillilitres(amount) : amount }
}

/** What the shot in hand means: the belief with it, the judgement, and the one next thing to do. */
function assess(
  context: LoopContext,
  current: CurrentShot,
): { belief: GrinderBelief; judgement: Judgement; step: NextStep } {
  const recipe = recipeOf(context)
  const at = current.end ?? context.tally.openedAt
  const seconds = current.seconds ?? 0
  const belief = observeShot(current.beliefBefore ?? beliefOf(context, at), {
    seconds,
    notch: context.notch,
    at,
    purged: context.purged,
    looks: current.looks,
    ...(current.dose !== undefined && { dose: { grams: current.dose, recipeGrams: recipe.dose } }),
  })
  const judgement = judge({
    seconds,
    window: recipe.window,
    looks: current.looks,
    tastes: current.tastes,
    steadiness: steadiness(belief),
    grind: context.purged ? 'settled' : 'mixed',
    handOff: current.handOff,
  })
  const advice = advise(belief, recipe, {
    at,
    notch: context.notch,
    notchRange: { lowest: ranges.notch.low, highest: ranges.notch.high },
    largerMoves: context.settings.largerMoves,
  })
  return { belief, judgement, step: nextStep(judgement, advice) }
}

const stepCues = (context: LoopContext, step: NextStep): Cue[] => [
  say(step.sentence, { ...step.values }),
  ...(context.settings.prompts === 'long' ? [say(step.reason, { ...step.values })] : []),
]

/** A list with a value in it, once. */
const withOne = <T>(list: readonly T[], value: T): readonly T[] =>
  list.includes(value) ? list : [...list, value]

/** The shot in hand as it was before its pour began. */
const dosed = ({ id, dose }: CurrentShot): CurrentShot => ({
  ...newShot(id),
  ...(dose !== undefined && { dose }),
})

const round1 = (seconds: number) => Math.round(seconds * 10) / 10

/** Facts that came after the pour: weigh the shot again from the belief before it. */
function reassess(context: LoopContext, event: LoopEvent, place: Place, current: CurrentShot): Effect {
  const { belief, judgement, step } = assess(context, current)
  const at = nowOf(context, event)
  const changed = step.sentence !== context.step?.sentence
  return undoable(context, place, {
    change: { current, step, beliefs: { ...context.beliefs, [beliefKey(context)]: belief } },
    cues:
      judgement.serve || !context.step?.serve
        ? changed
          ? stepCues(context, step)
          : [say('shot.seen')]
        : [say('shot.no-crema', undefined, 'warning'), ...stepCues(context, step)],
    entries: [
      {
        kind: 'judged',
        at,
        shot: current.id,
        looks: current.looks,
        tastes: current.tastes,
        action: step.action,
        serve: judgement.serve,
      },
    ],
    ...(!judgement.serve &&
      current.handOff === 'running' && { tell: [{ type: 'condemned', shot: current.id, at }] }),
  })
}

/** The pour has ended: time, verdict, advice; the log; the drift monitor; the hand-off clocks. */
function endPour(context: LoopContext, place: Place, end: number, at: number): Effect {
  const recipe = recipeOf(context)
  const start = context.current.start ?? end
  const seconds = context.current.practice?.seconds ?? end - start
  const beliefBefore = beliefOf(context, end)
  const current: CurrentShot = {
    ...context.current,
    end,
    seconds,
    looks: context.current.practice?.looks ?? [],
    beliefBefore,
    entry: entryId(at, context.made),
  }
  const { belief, judgement, step } = assess(context, current)
  const watched = watchDrift(context.drift, {
    seconds,
    notch: context.notch,
    scatter: scatterOf(belief),
    faultChance: belief.last?.faultChance ?? 0,
    mixed: !context.purged,
  })
  const sinceCalibration = context.tally.sinceCalibration + 1
  const firstHit = context.tally.shotsToHit === null && judgement.verdict === 'in window'
  const shot: NewEntry = {
    kind: 'shot',
    at,
    shot: current.id,
    recipe: context.recipe,
    coffee: context.coffee,
    grinder: context.grinder,
    ...(context.person !== null && { person: context.person }),
    seconds,
    windowOpens: recipe.window.opens,
    windowCloses: recipe.window.closes,
    notch: context.notch,
    ...(current.dose !== undefined && { dose: current.dose }),
    purged: context.purged,
    practice: context.settings.practice,
  }
  const warning = watched.warning
  return undoable(
    context,
    place,
    {
      change: {
        current,
        step,
        beliefs: { ...context.beliefs, [beliefKey(context)]: belief },
        drift: watched.monitor,
        forgottenSaid: false,
        stepSaid: false,
        tally: {
          ...context.tally,
          shots: context.tally.shots + 1,
          lastSeconds: seconds,
          sinceCalibration,
          shotsToHit: firstHit ? sinceCalibration : context.tally.shotsToHit,
        },
      },
      cues: [
        { kind: 'cancel', tag: pourTag },
        logged,
        say('shot.time', { seconds: round1(seconds) }),
        say(`shot.${judgement.verdict === 'in window' ? 'in-window' : judgement.verdict}`),
        ...(firstHit && sinceCalibration > 1 ? [say('shot.first-hit', { shots: sinceCalibration })] : []),
        // the advice waits until the cup is in a liquid: those ten seconds belong to the hand-off
        ...(warning ? [say(warning.sentence, { ...warning.values })] : []),
      ],
      entries: [
        shot,
        ...(warning
          ? [{ kind: 'drift warned', at, shot: current.id, direction: warning.direction } satisfies NewEntry]
          : []),
      ],
      tell: [{ type: 'poured', shot: current.id, end, at }],
    },
    current.id,
  )
}

/** Moves the grind and starts the next shot. */
function move(context: LoopContext, event: LoopEvent, place: Place, notches: number): Effect {
  const at = nowOf(context, event)
  const notch = context.notch + notches
  return undoable(context, place, {
    change: {
      notch,
      purged: notches === 0 ? context.purged : false,
      current: newShot(entryId(at, context.made)),
      step: null,
    },
    cues: [
      logged,
      say('grind.moved', {
        notch,
        notches: Math.abs(notches),
        direction: notches < 0 ? 'word.coarser' : 'word.finer',
      }),
    ],
    entries: [{ kind: 'grind moved', at, notches, notch, advised: context.step?.notches ?? null }],
  })
}

/** Values of the `place.*` sentences. */
function placeValues(context: LoopContext, event: LoopEvent): SentenceValues {
  const now = nowOf(context, event)
  return {
    recipe: recipeWord(context),
    coffee: context.coffee,
    grinder: context.grinder,
    notch: context.notch,
    shots: context.tally.shots,
    seconds: round1(context.current.seconds ?? Math.max(0, now - (context.current.start ?? now))),
  }
}

const refuse = (sentence: SentenceId, amount: number, range: { low: number; high: number }): Effect => ({
  cues: [
    { kind: 'earcon', earcon: 'not understood' },
    say(sentence, { amount, low: range.low, high: range.high }),
  ],
})

/** Parts of a recipe that are set together. */
export type HouseChange = Pick<Extract<NewEntry, { kind: 'recipe set' }>, 'dose' | 'yield' | 'window'>

/** Sets parts of the house's own recipe, which begins as a copy of the one in use. */
function setHouse(
  context: LoopContext,
  place: Place,
  at: number,
  change: HouseChange,
  amount: number,
): Effect {
  const before = context.recipes.house
  const house: Recipe = { ...(before ?? { ...recipeOf(context), name: 'house' }), ...change }
  try {
    checkRecipe(house)
  } catch (error) {
    if (!(error instanceof OutOfRange)) throw error
    return refuse('trouble.house', amount, error)
  }
  // the first time all of it is logged: other devices have no copy to begin with
  const { name: _name, ...whole } = house
  return undoable(context, place, {
    change: { recipes: { ...context.recipes, house }, drift: beginDriftMonitor() },
    cues: [logged, say('shift.house', { grams: house.dose, ...house.window })],
    entries: [{ kind: 'recipe set', at, recipe: 'house', ...(before ? change : whole) }],
  })
}

/** Changes what is worked with: another coffee, grinder or recipe has a belief and a drift of its own. */
const switched = (
  context: LoopContext,
  place: Place,
  change: Partial<LoopContext>,
  entry: NewEntry,
  ...cues: Cue[]
): Effect =>
  undoable(context, place, {
    change: { ...change, drift: beginDriftMonitor(), step: null },
    entries: [entry],
    cues,
  })

export const deeds = {
  openShift: (context, event) => {
    const at = nowOf(context, event)
    const carried = Object.fromEntries(
      Object.entries(context.beliefs).map(([key, belief]) => [key, carryOver(belief, 'new day', at)]),
    )
    return {
      change: {
        beliefs: carried,
        drift: beginDriftMonitor(),
        tally: newTally(at),
        current: newShot(entryId(at, context.made)),
        step: null,
        purged: true,
        undo: [],
        bench: context.settings.practice ? createBench(context.randomSeed) : null,
      },
      cues: [
        logged,
        say('shift.opened', {
          recipe: recipeWord(context),
          coffee: context.coffee,
          grinder: context.grinder,
        }),
      ],
      entries: [
        {
          kind: 'shift opened',
          at,
          coffee: context.coffee,
          grinder: context.grinder,
          recipe: context.recipe,
          ...(context.person !== null && { person: context.person }),
        },
      ],
    }
  },

  closeShift: (context, event) => {
    const at = nowOf(context, event)
    return {
      change: { undo: [] },
      cues: [{ kind: 'cancel', tag: pourTag }, logged, say('shift.closed')],
      entries: [{ kind: 'shift closed', at }],
      tell: [{ type: 'report wanted' }],
    }
  },

  report: () => ({ tell: [{ type: 'report wanted' }] }),

  status: (context, event, place) => ({ cues: [say(`place.${place}`, placeValues(context, event))] }),

  help: (context, _event, place) => ({
    cues: [say(`help.${place}`), ...(context.settings.prompts === 'long' ? [say('help.always')] : [])],
  }),

  why: (context) => ({
    cues: context.step ? [say(context.step.reason, { ...context.step.values })] : [say('talk.no-reason')],
  }),

  time: (context, event, place) => {
    if (place === 'pouring')
      return {
        cues: [
          say('pour.time-now', {
            seconds: Math.round(nowOf(context, event) - (context.current.start ?? nowOf(context, event))),
          }),
        ],
      }
    const last = context.tally.lastSeconds
    return { cues: [last !== null ? say('talk.last-time', { seconds: round1(last) }) : say('talk.no-time')] }
  },

  chooseRecipe: (context, event, place) => {
    const { recipe } = as(event, 'recipe').slots
    const chosen = context.recipes[recipe]
    if (!chosen) return { cues: [say('shift.no-house')] }
    return switched(
      context,
      place,
      { recipe },
      { kind: 'recipe chosen', at: nowOf(context, event), recipe },
      say('shift.recipe', {
        recipe: `word.${recipe}`,
        opens: chosen.window.opens,
        closes: chosen.window.closes,
      }),
    )
  },

  /** One number of the house's own recipe. */
  setHouse: (context, event, place) => {
    const { field, amount } = as(event, 'house recipe').slots
    const { window } = context.recipes.house ?? recipeOf(context)
    const change: HouseChange =
      field === 'dose'
        ? { dose: amount }
        : field === 'yield'
          ? { yield: { by: 'mass', grams: amount } }
          : { window: { ...window, [field]: amount } }
    return setHouse(context, place, nowOf(context, event), change, amount)
  },

  /** What was chosen of two values: the log then knows of both. */
  settleHouse: (context, event, place) =>
    event.type === 'house settled'
      ? setHouse(context, place, event.at, event.change, event.change.dose ?? 0)
      : {},

  /** Another device changed the house recipe. */
  useHouse: (context, event) => {
    if (event.type !== 'house card') return {}
    const { house } = event
    const isNews = context.recipes.house !== null
    return {
      change: { recipes: { ...context.recipes, house }, drift: beginDriftMonitor() },
      cues: isNews ? [say('house.changed'), say('shift.house', { grams: house.dose, ...house.window })] : [],
    }
  },

  chooseCoffee: (context, event, place) => {
    const { number } = as(event, 'coffee').slots
    if (!between(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    return switched(
      context,
      place,
      { coffee: number },
      { kind: 'coffee chosen', at: nowOf(context, event), coffee: number },
      say('shift.coffee', { number }),
    )
  },

  chooseGrinder: (context, event, place) => {
    const { number } = as(event, 'grinder').slots
    if (!between(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    return switched(
      context,
      place,
      { grinder: number },
      { kind: 'grinder chosen', at: nowOf(context, event), grinder: number },
      say('shift.grinder', { number }),
    )
  },

  choosePerson: (context, event, place) => {
    const { number } = as(event, 'person').slots
    if (!between(number, ranges.number)) return refuse('trouble.number', number, ranges.number)
    return undoable(context, place, {
      change: { person: number },
      cues: [say('shift.person', { number })],
      entries: [{ kind: 'person chosen', at: nowOf(context, event), person: number }],
    })
  },

  newBag: (context, event, place) => {
    const at = nowOf(context, event)
    const belief = context.beliefs[beliefKey(context)]
    return switched(
      context,
      place,
      belief
        ? { beliefs: { ...context.beliefs, [beliefKey(context)]: carryOver(belief, 'new bag', at) } }
        : {},
      { kind: 'new bag', at, coffee: context.coffee },
      say('shift.bag'),
    )
  },

  calibrate: (context, _event, place) =>
    undoable(context, place, {
      change: { tally: { ...context.tally, shotsToHit: null, sinceCalibration: 0 } },
      cues: [say('shift.calibrate')],
    }),

  promptGrind: (context) => ({
    cues: [
      context.purged
        ? prompt('grind.prompt', { recipe: recipeWord(context), notch: context.notch })
        : prompt('grind.purge'),
    ],
  }),
  promptDose: () => ({ cues: [prompt('dose.prompt')] }),
  promptTamp: () => ({ cues: [prompt('tamp.prompt')] }),
  promptReady: () => ({ cues: [prompt('ready.prompt')] }),
  promptAdjust: () => ({ cues: [prompt('adjust.prompt')] }),

  leaveGrind: (context, _event, place) =>
    undoable(context, place, { cues: context.purged ? [] : [say('grind.unpurged')] }),

  step: (context, _event, place) => undoable(context, place, {}),

  moveGrind: (context, event, place) => {
    const { notches } = as(event, 'grind by').slots
    if (!between(Math.abs(notches), ranges.move))
      return refuse('trouble.notches', Math.abs(notches), ranges.move)
    if (!between(context.notch + notches, ranges.notch))
      return refuse('trouble.notch', context.notch + notches, ranges.notch)
    return move(context, event, place, notches)
  },

  moveInDrill: (context, event) => {
    if (event.type !== 'moved in drill') return {}
    const { notches, at } = event
    const notch = context.notch + notches
    return {
      change: { notch, purged: false },
      entries: [{ kind: 'grind moved', at, notches, notch, advised: null }],
    }
  },

  moveAdvised: (context, event, place) => move(context, event, place, context.step?.notches ?? 0),

  setGrind: (context, event, place) => {
    const { notch } = as(event, 'grind at').slots
    if (!between(notch, ranges.notch)) return refuse('trouble.notch', notch, ranges.notch)
    // before the first shot this names the setting; later it is a move like any other
    if (context.tally.shots > 0) return move(context, event, place, notch - context.notch)
    return undoable(context, place, {
      change: { notch },
      cues: [logged, say('grind.at', { notch })],
      entries: [
        {
          kind: 'grind moved',
          at: nowOf(context, event),
          notches: notch - context.notch,
          notch,
          advised: null,
        },
      ],
    })
  },

  purge: (context, event, place) => {
    const at = nowOf(context, event)
    const belief = context.beliefs[beliefKey(context)]
    return undoable(context, place, {
      change: {
        purged: true,
        ...(belief && {
          beliefs: {
            ...context.beliefs,
            [beliefKey(context)]: observePurge(belief, { notch: context.notch, at }),
          },
        }),
        ...(context.bench && { bench: purgeBench(context.bench, { notch: context.notch, at }) }),
      },
      cues: [logged, say('grind.purged')],
      entries: [{ kind: 'purged', at }],
    })
  },

  leaveIt: (context, event, place) =>
    undoable(context, place, {
      change: { current: newShot(entryId(nowOf(context, event), context.made)) },
      cues: [say('adjust.left')],
    }),

  noteDose: (context, event, place) => {
    const { amount } = as(event, 'dose').slots
    if (!between(amount, recipeRanges.dose)) return refuse('trouble.dose', amount, recipeRanges.dose)
    return undoable(context, place, {
      change: { current: { ...context.current, dose: amount } },
      cues: [say('dose.noted', { grams: amount })],
    })
  },

  noteTamp: (_context, event) => ({
    cues: [say('tamp.noted', { amount: as(event, 'tamp force').slots.amount })],
  }),

  beginPour: (context, event, place) => {
    const { onset } = as(event, 'start pour')
    const recipe = recipeOf(context)
    // every pour is a shot of its own: what the log holds of one that was taken back is not the next one's
    const id = entryId(onset, context.made)
    const fresh = context.current.seconds === undefined ? { ...context.current, id } : newShot(id)
    const practice = context.bench
      ? pullShot(context.bench, { notch: context.notch, recipe, at: onset })
      : undefined
    return undoable(context, place, {
      change: {
        current: {
          ...fresh,
          start: onset,
          ...(practice && { practice: { seconds: practice.shot.seconds, looks: practice.shot.looks } }),
        },
        ...(practice && { bench: practice.bench }),
        forgottenSaid: false,
      },
      cues: [
        say('pour.started', undefined, 'mark'),
        ...pourMarks(onset, recipe.window, onset),
        ...(practice ? [pourSound(onset, practice.shot)] : []),
      ],
    })
  },

  endPour: (context, event, place) => {
    const { onset } = as(event, 'stop pour')
    return endPour(context, place, onset, onset)
  },

  endPracticePour: (context, _event, place) => {
    const end = (context.current.start ?? 0) + (context.current.practice?.seconds ?? 0)
    return endPour(context, place, end, end)
  },

  /** The basket is still as it was dosed; only the pour is forgotten. */
  falseStart: (context) => ({
    change: { current: dosed(context.current), undo: context.undo.slice(0, -1) },
    cues: [{ kind: 'cancel', tag: pourTag }, say('pour.false-start')],
  }),

  askForgotten: (context, event) => ({
    change: { forgottenSaid: true },
    cues: [
      say(
        'pour.forgotten',
        { seconds: Math.round(nowOf(context, event) - (context.current.start ?? 0)) },
        'warning',
      ),
    ],
  }),

  resumePour: (context, event) => ({
    cues: [
      say('pour.restored', undefined, 'warning'),
      ...pourMarks(context.current.start ?? 0, recipeOf(context).window, nowOf(context, event)),
    ],
  }),

  losePour: (context, event) => ({
    change: { current: newShot(context.current.id) },
    cues: [{ kind: 'earcon', earcon: 'trouble' }, say('pour.lost', undefined, 'warning')],
    entries: [{ kind: 'lost', at: nowOf(context, event), what: 'pour', since: context.current.start ?? 0 }],
  }),

  noteLook: (context, event, place) =>
    reassess(context, event, place, {
      ...context.current,
      looks: withOne(context.current.looks, as(event, 'look').slots.look),
    }),

  noteTaste: (context, event, place) =>
    reassess(context, event, place, {
      ...context.current,
      tastes: withOne(context.current.tastes, as(event, 'taste').slots.taste),
    }),

  correctTime: (context, event, place) => {
    const { seconds } = as(event, 'time was').slots
    if (!between(seconds, ranges.pour)) return refuse('trouble.seconds', seconds, ranges.pour)
    const current = { ...context.current, seconds }
    const { belief, step } = assess(context, current)
    return undoable(context, place, {
      change: {
        current,
        step,
        stepSaid: true,
        beliefs: { ...context.beliefs, [beliefKey(context)]: belief },
        tally: { ...context.tally, lastSeconds: seconds },
      },
      cues: [logged, say('shot.corrected', { seconds }), ...stepCues(context, step)],
      entries: [{ kind: 'corrected', at: nowOf(context, event), entry: current.entry ?? '', seconds }],
    })
  },

  noteDrink: (context, event, place) => {
    const drink = drinkOf(as(event, 'drink'))
    const amount = drink.millilitres ?? drink.grams ?? 0
    if (!between(amount, recipeRanges.millilitres))
      return refuse('trouble.drink', amount, recipeRanges.millilitres)
    return undoable(context, place, {
      cues: [logged, say('shot.seen')],
      entries: [{ kind: 'drink measured', at: nowOf(context, event), shot: context.current.id, ...drink }],
    })
  },

  /** The advice, unless it has been said. */
  sayStep: (context) =>
    context.step && !context.stepSaid
      ? { change: { stepSaid: true }, cues: [...stepCues(context, context.step), prompt('judge.prompt')] }
      : {},

  startNextShot: (context, event, place) =>
    undoable(context, place, {
      change: { current: newShot(entryId(nowOf(context, event), context.made)) },
      cues: context.step && !context.stepSaid ? stepCues(context, context.step) : [],
    }),

  noteHandOff: (context, event) => {
    if (event.type !== 'hand-off ended') return {}
    const { outcome, clock } = event
    return clock.shot === context.current.id && outcome !== 'discarded'
      ? { change: { current: { ...context.current, handOff: outcome } } }
      : {}
  },

  noteReopened: (context, event) =>
    event.type === 'hand-off reopened' && event.clock.shot === context.current.id
      ? { change: { current: { ...context.current, handOff: 'running' } } }
      : {},

  useSettings: (context, event) => {
    if (event.type !== 'new settings') return {}
    const { settings } = event
    return {
      change: {
        settings,
        bench: settings.practice ? (context.bench ?? createBench(context.randomSeed)) : null,
      },
    }
  },

  undo: (context, event) => {
    const step = context.undo.at(-1)
    if (!step) return { cues: [say('talk.nothing-to-undo')] }
    const at = nowOf(context, event)
    return {
      change: { ...step.work, undo: context.undo.slice(0, -1) },
      cues: [{ kind: 'cancel', tag: pourTag }, logged, say('talk.undone')],
      entries: step.entries.map((entry): NewEntry => ({ kind: 'taken back', at, entry })),
      ...(step.poured !== undefined && { tell: [{ type: 'unpoured', shot: step.poured }] }),
    }
  },

  hush: () => ({ cues: [{ kind: 'hush' }] }),

  notNow: () => ({ cues: [{ kind: 'earcon', earcon: 'not understood' }, say('trouble.not-now')] }),
} satisfies Record<string, Deed>

export type DeedName = keyof typeof deeds

/** Whether a pour has run so long that its marks have ended. */
export const isForgotten = (context: LoopContext, at: number) =>
  !context.forgottenSaid && context.current.start !== undefined && at - context.current.start > marksUntil
