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
import type { Group, Look, RecipeName, Taste } from '../../messages/command.ts'
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

/** A grinder as it stands, and what is in its hopper. */
export interface GrinderSetup {
  /** higher is finer */
  readonly notch: number
  /** whether old grounds are out of it since the grind was last moved */
  readonly purged: boolean
  readonly coffee: number
  /** whether a shot was ground on it in this shift: until then a notch that is said names where it stands */
  readonly isWorked: boolean
}

/** What a shot is pulled with, as it was when it was ground: what is moved or chosen later is not its own. */
export type ShotSetup = Pick<Work, 'recipe' | 'coffee' | 'grinder' | 'person' | 'notch' | 'purged'>

/** A shot, from the button to its judgement. */
export interface CurrentShot {
  readonly id: string
  readonly setup?: ShotSetup
  /** the group it is pulled on, when that was said */
  readonly group?: Group | null
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

/** A shot that pours. */
export interface Pour extends CurrentShot {
  readonly start: number
  readonly setup: ShotSetup
  readonly group: Group | null
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
export interface Work extends GrinderSetup {
  readonly recipe: RecipeName
  /** the grinder in use; its setup is here, that of each other grinder in `others` */
  readonly grinder: number
  readonly others: Readonly<Record<number, GrinderSetup>>
  readonly person: number | null
  /** when each coffee was roasted, bar clock, where it was said */
  readonly roasted: Readonly<Record<number, number>>
  /** what was read off in the room */
  readonly room: { readonly temperature?: number; readonly humidity?: number }
  /** what is in the basket, grams, when said */
  readonly dose: number | null
  readonly beliefs: Readonly<Record<string, GrinderBelief>>
  /** by grinder and coffee */
  readonly drifts: Readonly<Record<string, DriftMonitor>>
  /** the last shot that was pulled */
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
  /** the pour that it began, if it did */
  readonly began?: string
}

export interface LoopContext extends Work {
  readonly settings: Settings
  readonly recipes: Readonly<Record<RecipeName, Recipe | null>>
  readonly undo: readonly UndoStep[]
  /** entries and shots made so far, for their ids */
  readonly made: number
  readonly randomSeed: number
  /** the pours that run, each watched by an actor of its own */
  readonly pours: readonly Pour[]
  /** when "stop" was said and two pours ran: the pour that is named next ended then */
  readonly stopHeard: number | null
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

/** The drift monitor of the grinder and coffee in use. */
export const driftOf = (context: ShotSetup & Pick<Work, 'drifts'>): DriftMonitor =>
  context.drifts[beliefKey(context)] ?? beginDriftMonitor()

export const withDrift = (context: ShotSetup & Pick<Work, 'drifts'>, drift: DriftMonitor) => ({
  ...context.drifts,
  [beliefKey(context)]: drift,
})

/** What a shot that is ground now is pulled with. */
export const setupNow = ({ recipe, coffee, grinder, person, notch, purged }: Work): ShotSetup => ({
  recipe,
  coffee,
  grinder,
  person,
  notch,
  purged,
})

/** The state of a grinder before anything is known of it. */
const someNotch = 10

/** Takes a grinder into use, as it was left. */
export function useGrinder<W extends Work>(work: W, grinder: number): W {
  if (grinder === work.grinder) return work
  const { notch, purged, coffee, isWorked } = work
  const { [grinder]: found, ...rest } = work.others
  const setup = found ?? { notch: someNotch, purged: true, coffee, isWorked: false }
  return {
    ...work,
    ...setup,
    grinder,
    others: { ...rest, [work.grinder]: { notch, purged, coffee, isWorked } },
  }
}

/** What differs from the grinder in use when another is taken into use. */
export const grinderChange = (work: Work, grinder: number): Partial<Work> => {
  const { notch, purged, coffee, isWorked, others } = useGrinder(work, grinder)
  return { grinder, notch, purged, coffee, isWorked, others }
}

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
    notch: start.notch ?? someNotch,
    purged: true,
    beliefs: start.beliefs ?? {},
    isWorked: false,
    others: {},
    dose: null,
    drifts: {},
    current: newShot(entryId('loop', start.now, 0)),
    step: null,
    stepSaid: false,
    driftToSay: null,
    tally: newTally(start.now),
    bench: null,
    undo: [],
    made: 0,
    randomSeed: start.randomSeed ?? 1,
    pours: [],
    stopHeard: null,
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
