import {
  createActor,
  type Actor,
  type AnyActor,
  type Snapshot,
  type SnapshotFrom,
  type Subscription,
} from 'xstate'
import type { Entry } from '../messages/entry.ts'
import { barMachine } from './bar.machine.ts'
import type { BarEmitted, BarEvent, BarInput } from './barContext.ts'
import { entryId } from './ids.ts'
import { resumeBar, saveBar, type SavedBar } from './saved.ts'

type BarActor = Actor<typeof barMachine>
type Emitted = BarEmitted['type']
type Persisted = ReturnType<BarActor['getPersistedSnapshot']>

/** The bar and its parts as they were before an event. */
interface Captured {
  snapshot: SnapshotFrom<typeof barMachine>
  children: readonly { id: string; child: AnyActor; was: Snapshot<unknown> }[]
}

/** The bar as the app holds it: it answers events, and no event can end it. */
export interface Bar {
  /** Does what an event asks. What comes of it is emitted before this returns, all of it or none. */
  send(event: BarEvent): void
  getSnapshot(): SnapshotFrom<typeof barMachine>
  on<T extends Emitted>(type: T, listener: (emitted: Extract<BarEmitted, { type: T }>) => void): Subscription
  /** Calls the listener after every event, when the bar and all its parts have settled. */
  subscribe(listener: (snapshot: SnapshotFrom<typeof barMachine>) => void): Subscription
  /** The state to store. @param at bar clock */
  save(at: number): SavedBar
  stop(): void
}

export interface DurableBarOptions {
  input: BarInput
  /** the state stored the last time; `null` to begin */
  saved: SavedBar | null
  /** called with a state that the bar cannot work from: it is to be set aside, not tried again */
  onSetAside: (state: unknown) => void
  /** another machine, to test what happens when parts of it fail */
  machine?: typeof barMachine
}

/** Events that fail one after another, ticks among them, after which the state is taken to be at fault. */
const mostInARow = 5

/** Seconds between two reports of failures: the ticks alone come ten times a second. */
const reportEvery = 10

/**
 * Starts a bar that an exception inside it cannot end. The last state that worked is kept before each event; when the
 * event fails, the bar goes on from there as if it had not come, says so, and logs it. What was already sounding goes on: the
 * marks of a running pour and the clocks of the cups are on the audio clock, and in the state that is gone back to.
 * A state from which nothing works is set aside, and the bar begins from the start; the log is not touched by that.
 */
export function startDurableBar({ input, saved, onSetAside, machine = barMachine }: DurableBarOptions): {
  bar: Bar
  isRestored: boolean
} {
  const emitters = new Map<Emitted, Set<(emitted: never) => void>>()
  const followers = new Set<(snapshot: SnapshotFrom<typeof barMachine>) => void>()
  /** what the event that is being done has emitted so far */
  let emitted: BarEmitted[] = []
  let failure: unknown = null
  let inARow = 0
  let now = input.now
  let lastReport = -Infinity
  let faults = 0

  function begin(actor: BarActor): BarActor {
    // without an observer the failure would be thrown at the window
    actor.subscribe({ error: (error) => (failure = error) })
    actor.on('*', (each) => emitted.push(each))
    actor.start()
    if (!isAlive(actor)) throw failure ?? new Error('the bar does not start')
    return actor
  }

  function first(): { actor: BarActor; isRestored: boolean } {
    const { bar, isRestored } = resumeBar(input, saved, machine)
    if (saved && !isRestored) onSetAside(saved)
    try {
      return { actor: begin(bar), isRestored }
    } catch (error) {
      if (!isRestored) throw error
      onSetAside(saved)
      return { actor: begin(createActor(machine, { input })), isRestored: false }
    }
  }
  const started = first()
  let actor = started.actor

  /** Whether it answers: an exception in it or in one of its parts stops it. */
  function isAlive(one: BarActor): boolean {
    const { status, children } = one.getSnapshot()
    return (
      status === 'active' && Object.values(children).every((child) => child?.getSnapshot().status !== 'error')
    )
  }

  function attempt(event: BarEvent): boolean {
    failure = null
    emitted = []
    try {
      actor.send(event)
    } catch (error) {
      failure = error
    }
    return failure === null && isAlive(actor)
  }

  /** Snapshots are never changed, so that to keep them costs nothing, however much they hold. */
  function capture(): Captured {
    const snapshot = actor.getSnapshot()
    const children = Object.entries(snapshot.children).flatMap(([id, child]) =>
      child ? [{ id, child: child as AnyActor, was: child.getSnapshot() as Snapshot<unknown> }] : [],
    )
    return { snapshot, children }
  }

  /** The captured state in the form from which a bar can be started. */
  function persisted({ snapshot, children }: Captured): Persisted {
    const whole = machine.getPersistedSnapshot(snapshot) as Persisted & {
      children: Record<string, { snapshot: unknown }>
    }
    // the parts may have gone on, or failed, since
    for (const { id, child, was } of children) {
      const part = whole.children[id]
      if (part) whole.children[id] = { ...part, snapshot: child.logic.getPersistedSnapshot(was) }
    }
    return whole
  }

  /** @returns false when the state had to be given up */
  function goBack(before: Captured): boolean {
    const good = persisted(before)
    actor.stop()
    inARow += 1
    if (inARow <= mostInARow)
      try {
        actor = begin(createActor(machine, { input, snapshot: good }))
        return true
      } catch (error) {
        console.error('the last good state does not start', error)
      }
    onSetAside(good)
    inARow = 0
    actor = begin(createActor(machine, { input }))
    return false
  }

  function publish(): void {
    const all = emitted
    emitted = []
    for (const each of all)
      for (const listener of emitters.get(each.type) ?? []) (listener as (given: BarEmitted) => void)(each)
    const snapshot = actor.getSnapshot()
    for (const follower of followers) follower(snapshot)
  }

  /** What is said and logged of a failure; ticks that fail are reported once in a while. */
  function report({ type }: BarEvent, isKept: boolean): BarEmitted[] {
    if (isKept && type === 'tick' && now - lastReport < reportEvery) return []
    lastReport = now
    const message = String(failure)
      .replace(/[\p{Surrogate}\0]/gu, '')
      .slice(0, 200)
    faults += 1
    const entry: Entry = {
      id: `${entryId('bar', now, faults)}-fault`,
      at: now,
      kind: 'fault',
      during: type,
      message,
    }
    const sentence = isKept ? 'trouble.bar-failed' : 'trouble.state-lost'
    return [
      { type: 'cue', cue: { kind: 'earcon', earcon: 'trouble' } },
      { type: 'cue', cue: { kind: 'say', sentence, priority: 'warning' } },
      { type: 'entry', entry },
    ]
  }

  const bar: Bar = {
    send(event) {
      const good = capture()
      now = Math.max(now, 'onset' in event ? event.onset : 'at' in event ? event.at : now)
      if (attempt(event)) inARow = 0
      else {
        console.error(`"${event.type}" failed`, failure)
        emitted = report(event, goBack(good))
      }
      publish()
    },
    getSnapshot: () => actor.getSnapshot(),
    on(type, listener) {
      const listeners = emitters.get(type) ?? new Set()
      emitters.set(type, listeners)
      listeners.add(listener as (emitted: never) => void)
      return { unsubscribe: () => void listeners.delete(listener as (emitted: never) => void) }
    },
    subscribe(listener) {
      followers.add(listener)
      return { unsubscribe: () => void followers.delete(listener) }
    },
    save: (at) => saveBar(actor, at),
    stop() {
      actor.stop()
    },
  }
  return { bar, isRestored: started.isRestored }
}
