import { createBench, type Bench, type DrillScore, type Recipe } from '../../coffee/index.ts'
import type { Cue } from '../../messages/cue.ts'
import type { Drill, DrillStep } from '../../messages/drill.ts'
import type { CommandEvent, NewEntry, Resumed, Tick } from '../events.ts'
import type { HandOffEnded } from '../handOff/handOff.machine.ts'
import { timeOf, type Poured, type ReportWanted } from '../loop/effect.ts'
import type { Settings } from '../settings.ts'

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
  | CommandEvent
  | Tick
  | Resumed
  | HandOffEnded
  | { type: 'new settings'; settings: Settings; at: number }
  | { type: 'erased'; person: number }

export interface DrillEffect {
  change?: Partial<DrillContext>
  cues?: readonly Cue[]
  entries?: readonly NewEntry[]
  tell?: readonly (Poured | MovedInDrill | DrillEnded | ReportWanted)[]
}

/** An action of a drill: what a command does in the step in hand, as a pure function. */
export type DrillAction = (context: DrillContext, event: DrillEvent) => DrillEffect

/** The step in hand. */
export function stepOf(context: DrillContext): DrillStep {
  const step = context.drill.steps[context.step]
  if (!step) throw new Error(`drill ${context.drill.id} has no step ${context.step + 1}`)
  return step
}

/** Bar time of an event. */
export const nowOf = (context: DrillContext, event: DrillEvent) => timeOf(event, context.since)

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
