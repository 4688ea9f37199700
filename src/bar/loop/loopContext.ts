import {
  beginBelief,
  beginDriftMonitor,
  standardRecipes,
  type Bench,
  type DriftMonitor,
  type DriftWarning,
  type GrinderBelief,
  type NextStep,
  type Recipe,
} from '../../coffee/index.ts'
import type { Look, RecipeName, Taste } from '../../messages/command.ts'
import type { SentenceId } from '../../messages/cue.ts'
import { entryId } from '../ids.ts'
import type { Settings } from '../settings.ts'

/** Where the loop stands, in the trade's words. */
export const places = ['closed', 'grind', 'dose', 'tamp', 'ready', 'pouring', 'judge', 'adjust'] as const
export type Place = (typeof places)[number]

/** What was known before a shot. */
export interface BeforeShot {
  readonly belief: GrinderBelief
  readonly drift: DriftMonitor
  readonly shotsToHit: number | null
  /** seconds that the machine had stood idle */
  readonly idle: number
}

/** The shot in hand, from the dose to its judgement. */
export interface CurrentShot {
  readonly id: string
  /** grams, when said */
  readonly dose?: number
  /** grams in the cup, when said */
  readonly drink?: number
  /** bar-clock times of the words that began and ended the pour */
  readonly start?: number
  readonly end?: number
  /** the pour, seconds; corrected by "time was" */
  readonly seconds?: number
  /** id of its entry in the log */
  readonly entry?: string
  /** seconds from the button to the first drip, when said */
  readonly firstDrip?: number
  /** by refractometer, percent */
  readonly strength?: number
  readonly looks: readonly Look[]
  readonly tastes: readonly Taste[]
  readonly handOff: 'running' | 'served' | 'expired'
  /** somebody said to serve it although it was judged unfit */
  readonly isOverruled?: boolean
  /** what was known before this shot: facts that come later are weighed from here again */
  readonly before?: BeforeShot
  /** the practice bench's shot, while it pours */
  readonly practice?: { readonly seconds: number; readonly looks: readonly Look[] }
}

/** What of the shift the loop itself needs; the report is the log's. */
export interface Tally {
  readonly openedAt: number
  readonly shots: number
  /** the last pour, seconds */
  readonly lastSeconds: number | null
  /** when the last pour ended, bar clock */
  readonly lastEnd: number | null
  /** shots since the last calibration began, and how many it took until one landed in the window */
  readonly sinceCalibration: number
  readonly shotsToHit: number | null
}

/** Everything that "undo that" puts back. */
export interface Work {
  readonly recipe: RecipeName
  readonly coffee: number
  readonly grinder: number
  readonly person: number | null
  /** when each coffee was roasted, bar clock, where it was said */
  readonly roasted: Readonly<Record<number, number>>
  /** what was read off in the room */
  readonly room: { readonly temperature?: number; readonly humidity?: number }
  /** where the grinder stands; higher is finer */
  readonly notch: number
  /** whether old grounds were cleared since the grind last moved */
  readonly purged: boolean
  readonly beliefs: Readonly<Record<string, GrinderBelief>>
  readonly drift: DriftMonitor
  readonly current: CurrentShot
  readonly step: NextStep | null
  readonly stepSaid: boolean
  /** a drift that was noticed and is said with the advice, after the hand-off */
  readonly driftToSay: DriftWarning | null
  readonly tally: Tally
  readonly bench: Bench | null
}

/** One thing that can be taken back. */
export interface UndoStep {
  readonly place: Place
  /** what the step changed, as it was before */
  readonly work: Partial<Work>
  readonly entries: readonly string[]
  /** the shot whose pour it ended, if it did */
  readonly poured?: string
  /** the shot that it let be served against the judgement, if it did */
  readonly overruled?: string
}

export interface LoopContext extends Work {
  readonly settings: Settings
  readonly recipes: Readonly<Record<RecipeName, Recipe | null>>
  readonly undo: readonly UndoStep[]
  /** entries and shots made so far, for their ids */
  readonly made: number
  readonly randomSeed: number
  readonly forgottenSaid: boolean
}

/** What the loop starts from: the settings and what earlier shifts left. */
export interface LoopStart {
  settings: Settings
  /** bar clock */
  now: number
  recipe?: RecipeName
  coffee?: number
  grinder?: number
  person?: number | null
  notch?: number
  beliefs?: Readonly<Record<string, GrinderBelief>>
  house?: Recipe | null
  /** for the practice bench */
  randomSeed?: number
}

/** Ranges for what is said; outside them it is a slip of the tongue or of the recogniser. */
export const ranges = {
  /** settings of a grinder, notches */
  notch: { low: 0, high: 200 },
  /** notches moved in one step */
  move: { low: 0.25, high: 20 },
  /** coffees, grinders and baristas are numbers */
  number: { low: 1, high: 99 },
  /** a pour, seconds */
  pour: { low: 2, high: 180 },
  /** days since the roast */
  beanAge: { low: 0, high: 99 },
  /** of an espresso by refractometer, percent: common practice is 8 to 12 */
  strength: { low: 1, high: 25 },
  /** a room in which people work, degrees Celsius */
  temperature: { low: 5, high: 45 },
  /** relative humidity of a room, percent */
  humidity: { low: 5, high: 95 },
} as const

/** Whether a number is in a range, both ends included. */
export const isWithin = (value: number, range: { low: number; high: number }) =>
  Number.isFinite(value) && value >= range.low && value <= range.high

/** How many steps "undo that" goes back. */
const undoDepth = 12

/** One grinder with one coffee has one belief, whatever is pulled on it. */
export const beliefKey = (work: Pick<Work, 'grinder' | 'coffee'>) => `${work.grinder}/${work.coffee}`

export const newShot = (id: string): CurrentShot => ({ id, looks: [], tastes: [], handOff: 'running' })

export const newTally = (at: number): Tally => ({
  openedAt: at,
  shots: 0,
  lastSeconds: null,
  lastEnd: null,
  sinceCalibration: 0,
  shotsToHit: null,
})

export function startLoop(start: LoopStart): LoopContext {
  return {
    settings: start.settings,
    recipes: { ...standardRecipes, house: start.house ?? null },
    recipe: start.recipe ?? 'double',
    coffee: start.coffee ?? 1,
    grinder: start.grinder ?? 1,
    person: start.person ?? null,
    roasted: {},
    room: {},
    notch: start.notch ?? 10,
    purged: true,
    beliefs: start.beliefs ?? {},
    drift: beginDriftMonitor(),
    current: newShot(entryId('loop', start.now, 0)),
    step: null,
    stepSaid: false,
    driftToSay: null,
    tally: newTally(start.now),
    bench: null,
    undo: [],
    made: 0,
    randomSeed: start.randomSeed ?? 1,
    forgottenSaid: false,
  }
}

/** The recipe in use. */
export function recipeOf(context: Pick<LoopContext, 'recipes' | 'recipe'>): Recipe {
  return context.recipes[context.recipe] ?? standardRecipes.double
}

/** The name of the recipe in use, as a word to be spoken. */
export const recipeWord = (context: Pick<LoopContext, 'recipe'>): SentenceId => `word.${context.recipe}`

/** What is believed of the grinder and coffee in use. */
export function beliefOf(context: LoopContext, at: number): GrinderBelief {
  return context.beliefs[beliefKey(context)] ?? beginBelief(at)
}

/** The undo list with one more step, the oldest forgotten beyond {@link undoDepth}. */
export const remember = (context: LoopContext, step: UndoStep): readonly UndoStep[] => [
  ...context.undo.slice(1 - undoDepth),
  step,
]
