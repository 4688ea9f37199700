import {
  createBench,
  OutOfRange,
  poundsForceToNewtons,
  kilogramsForceToNewtons,
  pullShot,
  purgeBench,
  recipeRanges,
  scoreConsistency,
  scoreDoses,
  scoreFastShot,
  scoreFindWindow,
  scoreHandOffs,
  scoreSlowShot,
  scoreTamps,
  scoreTasting,
  scoreTimeSense,
  timeBand,
  type Bench,
  type DrillScore,
  type Recipe,
} from '../coffee/index.ts'
import type { Cue, Priority, SentenceId, SentenceValues } from '../messages/cue.ts'
import type { Drill, DrillPart, DrillStep } from '../messages/drill.ts'
import type { CommandEvent, NewEntry, Resumed, Tick } from './events.ts'
import type { HandOffEnded } from './handOff.machine.ts'
import { ranges } from './loopContext.ts'
import { entryId, timeOf, type Poured, type ReportWanted } from './loopDeeds.ts'
import { pourMarks, pourSound, pourTag } from './pourMarks.ts'
import type { Settings } from './settings.ts'

/** The grind was moved for a drill; the loop keeps where it stands. */
export type MovedInDrill = { type: 'moved in drill'; notches: number; at: number }
/** A drill is over: with its score, or without when it was left. */
export type DrillEnded = { type: 'drill ended'; drill: string; score: DrillScore | null; at: number }

export interface DrillInput {
  drill: Drill
  settings: Settings
  recipe: Recipe
  recipeName: string
  coffee: number
  grinder: number
  person: number | null
  notch: number
  randomSeed: number
  /** bar clock */
  now: number
}

export interface DrillContext extends DrillInput {
  /** step in hand, from 0 */
  readonly step: number
  /** when the step began, bar clock */
  readonly since: number
  readonly bench: Bench | null
  /** start of the pour in hand, and the bench's time for it in practice */
  readonly start: number | null
  readonly practiceSeconds: number | null
  /** what the steps collected */
  readonly pours: readonly number[]
  readonly presses: readonly number[]
  readonly doses: readonly number[]
  readonly answers: readonly boolean[]
  readonly called: number | null
  /** cups brought, and how they ended, in this step and in all */
  readonly brought: number
  readonly endedHere: number
  readonly served: number
  readonly cups: number
  /** whether the step has what it waits for */
  readonly isFulfilled: boolean
  readonly made: number
}

export type DrillEvent =
  CommandEvent | Tick | Resumed | HandOffEnded | { type: 'new settings'; settings: Settings; at: number }

export interface DrillEffect {
  change?: Partial<DrillContext>
  cues?: readonly Cue[]
  entries?: readonly NewEntry[]
  tell?: readonly (Poured | MovedInDrill | DrillEnded | ReportWanted)[]
}

export type DrillDeed = (context: DrillContext, event: DrillEvent) => DrillEffect

const say = (sentence: SentenceId, values?: SentenceValues, priority: Priority = 'answer'): Cue => ({
  kind: 'say',
  sentence,
  priority,
  ...(values && { values }),
})
const logged: Cue = { kind: 'earcon', earcon: 'logged' }

/** The step in hand. */
export function stepOf(context: DrillContext): DrillStep {
  const step = context.drill.steps[context.step]
  if (!step) throw new Error(`drill ${context.drill.id} has no step ${context.step + 1}`)
  return step
}

const partOf = (context: DrillContext, part: DrillPart): SentenceId =>
  `drill.${context.drill.id}.${context.step + 1}.${part}`

/** What a step says is taken back when the step is over: cut off by a warning, it would be said once more. */
const stepTag = 'drill step'
const forgetStep: Cue = { kind: 'cancel', tag: stepTag }

/** Parts of the step in hand, spoken; a caution is said to its end, whatever comes. */
const parts = (context: DrillContext, ...wanted: DrillPart[]): Cue[] =>
  wanted
    .filter((part) => stepOf(context).parts.includes(part))
    .map((part) => ({
      ...say(partOf(context, part)),
      ...(part !== 'caution' && { tag: stepTag }),
    }))

const nowOf = (context: DrillContext, event: DrillEvent) => timeOf(event, context.since)

export function startDrill(input: DrillInput): DrillContext {
  return {
    ...input,
    step: 0,
    since: input.now,
    bench: input.settings.practice ? createBench(input.randomSeed) : null,
    start: null,
    practiceSeconds: null,
    pours: [],
    presses: [],
    doses: [],
    answers: [],
    called: null,
    brought: 0,
    endedHere: 0,
    served: 0,
    cups: 0,
    isFulfilled: false,
    made: 0,
  }
}

/** Goes to a step and gives its instruction; a caution is never left out. */
function goTo(context: DrillContext, step: number, at: number): DrillEffect {
  const there = { ...context, step }
  return {
    change: { step, since: at, start: null, brought: 0, endedHere: 0, isFulfilled: false },
    cues: [{ kind: 'cancel', tag: pourTag }, forgetStep, ...parts(there, 'caution', 'say', 'look')],
  }
}

/** Scores what was collected, or nothing when it was too little to score. */
export function scoreDrill(context: DrillContext): DrillScore | null {
  const { drill, recipe, pours, presses, doses, answers, called, served, cups } = context
  const last = pours.at(-1)
  try {
    switch (drill.score) {
      case 'none':
        return null
      case 'fast shot':
        return last === undefined ? null : scoreFastShot(last, recipe.window)
      case 'slow shot':
        return last === undefined ? null : scoreSlowShot(last, recipe.window)
      case 'find window':
        return pours.length === 0 ? null : scoreFindWindow(pours, recipe.window)
      case 'telling apart':
        return answers.length === 0 ? null : scoreTasting(answers.filter(Boolean).length, answers.length)
      case 'consistency':
        return scoreConsistency(pours)
      case 'tamps':
        return scoreTamps(presses)
      case 'doses':
        return scoreDoses(doses, recipe.dose)
      case 'time sense':
        return called === null ? null : scoreTimeSense(called, callTarget(drill))
      case 'hand-offs':
        return cups === 0 ? null : scoreHandOffs(served, cups)
    }
  } catch (error) {
    if (error instanceof OutOfRange) return null
    throw error
  }
}

function callTarget(drill: Drill): number {
  const call = drill.steps.map(({ wait }) => wait).find((wait) => wait.for === 'call')
  return call?.for === 'call' ? call.seconds : 0
}

/** One pour is over. In a drill a shot counts as practice, so that no report takes it for the day's work. */
function endPour(context: DrillContext, end: number, seconds: number): DrillEffect {
  const { wait } = stepOf(context)
  if (wait.for === 'call')
    return { change: { called: seconds, start: null, isFulfilled: true }, cues: [logged] }
  const pours = [...context.pours, seconds]
  const id = entryId(end, context.made)
  const { recipe, person } = context
  const isHit = timeBand(seconds, recipe.window) === 'in window'
  const isMissed = wait.for === 'window' && !isHit && pours.length < wait.most
  const cups = wait.for === 'pour' ? (wait.cups ?? 1) : 1
  return {
    change: { pours, start: null, practiceSeconds: null, cups: context.cups + cups, isFulfilled: !isMissed },
    cues: [
      { kind: 'cancel', tag: pourTag },
      logged,
      say('shot.time', { seconds: Math.round(seconds * 10) / 10 }),
      say(`shot.${isHit ? 'in-window' : timeBand(seconds, recipe.window)}` as SentenceId),
      ...(isMissed ? [say('drill.missed')] : []),
    ],
    entries: [
      {
        kind: 'shot',
        at: end,
        shot: id,
        recipe: context.recipeName,
        coffee: context.coffee,
        grinder: context.grinder,
        ...(person !== null && { person }),
        seconds,
        windowOpens: recipe.window.opens,
        windowCloses: recipe.window.closes,
        notch: context.notch,
        purged: true,
        practice: true,
      },
    ],
    tell: [{ type: 'poured', shot: id, end, at: end, cups }],
  }
}

const round = (notches: number) => Math.round(notches * 100) / 100

/** What cannot be true is refused with what can. */
const refuse = (sentence: SentenceId, amount: number, range: { low: number; high: number }): DrillEffect => ({
  cues: [{ kind: 'earcon', earcon: 'not understood' }, say(sentence, { amount, ...range })],
})

/** A number said in a series: kept when it can be true, refused with its range when it cannot. */
function noteInSeries(
  context: DrillContext,
  key: 'presses' | 'doses',
  value: number,
  range: { low: number; high: number },
  spoken: number,
  refusal: SentenceId,
  spokenRange: { low: number; high: number },
): DrillEffect {
  if (!(value >= range.low && value <= range.high)) return refuse(refusal, spoken, spokenRange)
  const series = [...context[key], value]
  const { wait } = stepOf(context)
  const count = wait.for === 'presses' || wait.for === 'doses' ? wait.count : 0
  return {
    change: { [key]: series, isFulfilled: series.length >= count },
    cues: [logged, say('drill.pressed', { count: series.length })],
  }
}

/** A person can press from nothing to about their weight; kilograms-force on the scale. */
const pressRange = { pounds: { low: 1, high: 220 }, kilograms: { low: 0.5, high: 100 } }

/** Something that the step does not wait for: it is told again what it does wait for. */
const notNow = (context: DrillContext): DrillEffect => ({
  cues: [{ kind: 'earcon', earcon: 'not understood' }, say('trouble.not-now'), ...parts(context, 'say')],
})

export const drillDeeds = {
  begin: (context) => {
    const effect = goTo(context, 0, context.now)
    return {
      ...effect,
      cues: [say('drill.began', { name: `drill.${context.drill.id}.name` }), ...(effect.cues ?? [])],
    }
  },

  advance: (context, event) => goTo(context, context.step + 1, nowOf(context, event)),

  back: (context, event) =>
    context.step === 0
      ? { cues: [say('drill.first-step')] }
      : goTo(context, context.step - 1, nowOf(context, event)),

  why: (context) => ({
    cues: stepOf(context).parts.includes('why') ? parts(context, 'why') : [say('drill.no-why')],
  }),

  help: () => ({ cues: [say('help.drill')] }),

  status: (context) => ({
    cues: [
      say('place.drill', {
        name: `drill.${context.drill.id}.name`,
        step: context.step + 1,
        steps: context.drill.steps.length,
      }),
      ...parts(context, 'say'),
    ],
  }),

  notNow,

  hush: () => ({ cues: [{ kind: 'hush' }] }),

  report: () => ({ tell: [{ type: 'report wanted' }] }),

  time: (context, event) => {
    const { start, pours } = context
    // a sense of time is not helped with the time
    if (start !== null && stepOf(context).wait.for === 'call') return notNow(context)
    if (start !== null)
      return { cues: [say('pour.time-now', { seconds: Math.round(nowOf(context, event) - start) })] }
    const last = pours.at(-1)
    return {
      cues: [
        last === undefined
          ? say('talk.no-time')
          : say('talk.last-time', { seconds: Math.round(last * 10) / 10 }),
      ],
    }
  },

  fulfil: () => ({ change: { isFulfilled: true } }),

  moveGrind: (context, event) => {
    if (event.type !== 'grind by' && event.type !== 'grind at') return {}
    const notches = event.type === 'grind by' ? event.slots.notches : round(event.slots.notch - context.notch)
    const notch = event.type === 'grind by' ? round(context.notch + notches) : event.slots.notch
    if (notch < ranges.notch.low || notch > ranges.notch.high)
      return refuse('trouble.notch', notch, ranges.notch)
    if (Math.abs(notches) < ranges.move.low || Math.abs(notches) > ranges.move.high)
      return refuse('trouble.notches', Math.abs(notches), ranges.move)
    return {
      change: { notch, isFulfilled: stepOf(context).wait.for === 'grind' },
      cues: [logged],
      tell: [{ type: 'moved in drill', notches, at: nowOf(context, event) }],
    }
  },

  purge: (context, event) => ({
    change: context.bench
      ? { bench: purgeBench(context.bench, { notch: context.notch, at: nowOf(context, event) }) }
      : {},
    cues: [logged, say('grind.purged')],
    entries: [{ kind: 'purged', at: nowOf(context, event) }],
  }),

  beginPour: (context, event) => {
    const start = nowOf(context, event)
    // a span called without a clock has no marks: that is the drill
    if (stepOf(context).wait.for === 'call')
      return { change: { start }, cues: [{ kind: 'earcon', earcon: 'heard' }] }
    const practice = context.bench
      ? pullShot(context.bench, { notch: context.notch, recipe: context.recipe, at: start })
      : null
    return {
      change: {
        start,
        ...(practice && { bench: practice.bench, practiceSeconds: practice.shot.seconds }),
      },
      cues: [
        say('pour.started', undefined, 'mark'),
        ...pourMarks(start, context.recipe.window, start),
        ...(practice ? [pourSound(start, practice.shot)] : []),
      ],
    }
  },

  endPour: (context, event) => {
    const end = nowOf(context, event)
    return endPour(context, end, end - (context.start ?? end))
  },

  endPracticePour: (context) => {
    const seconds = context.practiceSeconds ?? 0
    return endPour(context, (context.start ?? context.since) + seconds, seconds)
  },

  falseStart: () => ({
    change: { start: null, practiceSeconds: null },
    cues: [{ kind: 'cancel', tag: pourTag }, say('pour.false-start')],
  }),

  notePress: (context, event) => {
    if (event.type !== 'tamp force') return {}
    const { amount, unit } = event.slots
    const newtons = unit === 'pounds' ? poundsForceToNewtons(amount) : kilogramsForceToNewtons(amount)
    return noteInSeries(
      context,
      'presses',
      newtons,
      { low: 2, high: 1000 },
      amount,
      'trouble.press',
      pressRange[unit],
    )
  },

  noteDose: (context, event) => {
    if (event.type !== 'dose') return {}
    const { amount } = event.slots
    return noteInSeries(
      context,
      'doses',
      amount,
      recipeRanges.dose,
      amount,
      'trouble.dose',
      recipeRanges.dose,
    )
  },

  answer: (context, event) => ({
    change: { answers: [...context.answers, event.type === 'yes'], isFulfilled: true },
    cues: [logged],
  }),

  /** Brings the next cup when its time has come. */
  bringCup: (context, event) => {
    const { wait } = stepOf(context)
    if (wait.for !== 'cups') return {}
    const at = nowOf(context, event)
    const due = Math.min(wait.count, 1 + Math.floor((at - context.since) / wait.every))
    if (due <= context.brought) return {}
    const end = context.since + context.brought * wait.every
    return {
      change: { brought: context.brought + 1, cups: context.cups + 1 },
      tell: [{ type: 'poured', shot: entryId(end, context.made), end, at, cups: 1 }],
    }
  },

  noteHandOff: (context, event) => {
    if (event.type !== 'hand-off ended') return {}
    const { wait } = stepOf(context)
    const endedHere = context.endedHere + 1
    const served = context.served + (event.outcome === 'served' ? 1 : 0)
    return {
      change: {
        endedHere,
        served,
        isFulfilled:
          context.isFulfilled ||
          (wait.for === 'cups' && endedHere >= wait.count) ||
          // a cup that is meant to expire does not hold the drill up
          (wait.for === 'hand-off' && event.outcome === 'served'),
      },
    }
  },

  endRest: () => ({ change: { isFulfilled: true }, cues: [say('drill.rest')] }),

  finish: (context, event) => {
    const score = scoreDrill(context)
    const at = nowOf(context, event)
    return {
      cues: [forgetStep, say('drill.done'), ...(score ? [say(score.sentence, score.values)] : [])],
      entries: score
        ? [
            {
              kind: 'drill scored',
              at,
              drill: context.drill.id,
              ...(context.person !== null && { person: context.person }),
              score: score.score,
              unit: score.unit,
              passed: score.passed,
            },
          ]
        : [],
      tell: [{ type: 'drill ended', drill: context.drill.id, score, at }],
    }
  },

  leave: (context, event) => ({
    cues: [{ kind: 'cancel', tag: pourTag }, forgetStep, say('drill.stopped')],
    tell: [{ type: 'drill ended', drill: context.drill.id, score: null, at: nowOf(context, event) }],
  }),

  useSettings: (context, event) =>
    event.type === 'new settings'
      ? {
          change: {
            settings: event.settings,
            bench: event.settings.practice ? (context.bench ?? createBench(context.randomSeed)) : null,
          },
        }
      : {},
} satisfies Record<string, DrillDeed>

export type DrillDeedName = keyof typeof drillDeeds
