import { createActor, type Actor, type Snapshot } from 'xstate'
import type { Drill } from '../messages/drill.ts'
import { barMachine } from './bar.machine.ts'
import type { BarInput } from './barContext.ts'
import { noPump } from './pump.ts'
import { noRepair } from './repair/repairContext.ts'
import { keepSettings } from './settings.ts'

/** Raised when a stored state of the bar has another shape; each raise needs a step in {@link migrations}. */
export const savedVersion = 5

/** The bar's state as it is stored with the log. What comes with the program is not in it. */
export interface SavedBar {
  version: number
  /** bar clock */
  at: number
  bar: Snapshot<unknown>
}

type Values = Record<string, unknown>
interface Child {
  snapshot: { value?: unknown; context: Values }
}
/** A persisted snapshot, as far as it is changed here. */
interface Stored {
  value: Values
  context: Values
  children: { loop: Child; drill?: Child } & Record<string, unknown>
}

const withContext = <C extends Child>(child: C, change: (context: Values) => Values): C => ({
  ...child,
  snapshot: { ...child.snapshot, context: change(child.snapshot.context) },
})

/** From the version of the index to the next. */
const migrations: Readonly<Record<number, (stored: Stored) => Stored>> = {
  // the actor of a clock stood beside the clock
  1: (stored) => ({
    ...stored,
    context: {
      ...stored.context,
      waiting: (stored.context.waiting as { clock: unknown }[]).map(({ clock }) => clock),
    },
  }),
  // drills and voices were stored; a corrected shot knew only the belief before it
  2: (stored) => stored,
  // neither roast dates nor the room were known, drift was said at once, and a belief was of one recipe only
  3: (stored) => ({
    ...stored,
    context: { ...stored.context, condemned: null },
    children: {
      ...stored.children,
      loop: withContext(stored.children.loop, (context) => ({
        roasted: {},
        room: {},
        driftToSay: null,
        ...context,
        beliefs: {},
        tally: { lastEnd: null, ...(context.tally as Values) },
        current: without(context.current as Values, 'before', 'beliefBefore'),
        undo: [],
      })),
    },
  }),
  // there was one grinder and one pour, whose watch was the loop itself: a pour that ran then is ready to be pulled
  4: (stored) => ({
    ...stored,
    children: {
      ...stored.children,
      loop: withContext(readyAgain(stored.children.loop), (context) => ({
        isWorked: (context.tally as { shots: number }).shots > 0,
        others: {},
        dose: null,
        drifts: {},
        pours: [],
        stopHeard: null,
        ...without(context, 'drift', 'forgottenSaid'),
        undo: [],
      })),
    },
  }),
}

/** A loop in the middle of a pour goes back to before it. */
const readyAgain = (loop: Child): Child =>
  JSON.stringify(loop.snapshot.value) === '{"open":{"pull":"pouring"}}'
    ? { ...loop, snapshot: { ...loop.snapshot, value: { open: { pull: 'ready' } } } }
    : loop

const without = (values: Values, ...names: string[]): Values =>
  Object.fromEntries(Object.entries(values).filter(([name]) => !names.includes(name)))

/** The id of the drill that is being done, whatever else of it was stored. */
const drillIdOf = (context: Values) => (context.drill as { id: string }).id

/** The state to store now. */
export function saveBar(bar: Pick<Actor<typeof barMachine>, 'getPersistedSnapshot'>, at: number): SavedBar {
  const stored = bar.getPersistedSnapshot() as unknown as Stored
  const slim = (context: Values) => ({ ...context, drill: { id: drillIdOf(context) } })
  const { drill } = stored.children
  const { drillInput } = stored.context
  return {
    version: savedVersion,
    at,
    bar: {
      ...stored,
      context: {
        ...without(stored.context, 'drills', 'voices', 'start', 'pump'),
        drillInput: drillInput ? slim(drillInput as Values) : null,
      },
      children: { ...stored.children, ...(drill && { drill: withContext(drill, slim) }) },
    } as unknown as Snapshot<unknown>,
  }
}

/** What was stored, or nothing when it is no state of a bar. */
export function readSaved(value: unknown): SavedBar | null {
  const saved = value as Partial<SavedBar> | null | undefined
  return typeof saved?.at === 'number' && typeof saved.version === 'number' && saved.bar
    ? (saved as SavedBar)
    : null
}

/** The stored state with what comes with the program: the drills and voices there are now, and every setting. */
function refresh(given: Stored, input: BarInput): Stored {
  // an offer is stale after a reload; a state of before misunderstandings were asked about has none
  const asking = given.value.asking === 'offering' ? 'nothing' : given.value.asking
  const stored: Stored = {
    ...given,
    value: { ...given.value, asking },
    context: { unnamed: [], clockOffered: null, repair: noRepair, ...given.context, pump: noPump },
  }
  const settings = keepSettings(stored.context.settings)
  const drills = new Map(input.drills.map((drill) => [drill.id, drill]))
  const { drill, ...others } = stored.children
  const current = drill && drills.get(drillIdOf(drill.snapshot.context))
  const refill = (context: Values) => ({ ...context, settings, drill: current })
  const kept = {
    ...others,
    loop: withContext(others.loop, (context) => ({ ...context, settings })),
  }
  const context = { ...stored.context, settings, drills: input.drills, voices: input.voices, start: input }
  return drill && current && isInside(drill.snapshot.context, current)
    ? {
        ...stored,
        context: { ...context, drillInput: refill(stored.context.drillInput as Values) },
        children: { ...kept, drill: withContext(drill, refill) },
      }
    : {
        ...stored,
        // a drill that is gone, or has fewer steps now, is over
        value: { ...stored.value, work: 'loop' },
        context: { ...context, drillInput: null },
        children: kept,
      }
}

const isInside = (context: Values, { steps }: Drill) => (context.step as number) < steps.length

/** Starts the bar where it was; from the beginning when what was stored is damaged or newer. The log is safe. */
export function resumeBar(
  input: BarInput,
  saved: SavedBar | null,
  machine: typeof barMachine = barMachine,
): { bar: Actor<typeof barMachine>; isRestored: boolean } {
  if (saved && saved.version <= savedVersion) {
    try {
      let stored = saved.bar as unknown as Stored
      for (let version = saved.version; version < savedVersion; version++) {
        const migrate = migrations[version]
        if (!migrate) throw new RangeError(`no way from version ${version}`)
        stored = migrate(stored)
      }
      const snapshot = refresh(stored, input) as unknown as ReturnType<
        Actor<typeof barMachine>['getPersistedSnapshot']
      >
      return { bar: createActor(machine, { input, snapshot }), isRestored: true }
    } catch (error) {
      console.warn('the stored state cannot be restored', error)
    }
  }
  return { bar: createActor(machine, { input }), isRestored: false }
}
