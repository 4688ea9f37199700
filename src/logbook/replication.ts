import PouchDB from 'pouchdb-browser'
import { backOff } from './backOff.ts'
import { designDocument, designName, readChainFigures, type ChainFigures } from './designDocument.ts'
import { guardTarget, type GuardedTarget } from './keepFirst.ts'
import type { Logbook } from './logbook.ts'
import type { RecordDatabase, RecordDocument } from './pouchStore.ts'
import type { Server } from './server.ts'

/** What replication is doing, for a light on the screen. */
export type ReplicationState =
  /** finding out what is new on either side, or exchanging it */
  | 'exchanging'
  /** both sides have the same; changes go over as they come */
  | 'up to date'
  /** the server does not answer; it is asked again, later and later, at the longest every ten minutes */
  | 'waiting'
  /** the server refuses the name or the password, or has no such database: nothing more is tried */
  | 'refused'
  | 'stopped'

export interface Replication {
  readonly state: ReplicationState
  /** records that came and went since the start, and those that the server would not take */
  readonly counts: { readonly pulled: number; readonly pushed: number; readonly denied: number }
  /** entries that the server has altered or removed; the log keeps its own */
  readonly altered: number
  /** Calls the listener when there are more or fewer of these. @returns a function that ends that */
  onAltered(listener: (altered: number) => void): () => void
  /** Tells each change of the state; answers with a function that ends it. */
  onState(listener: (state: ReplicationState) => void): () => void
  stop(): Promise<void>
}

export interface ReplicationOptions {
  /** milliseconds before the first new try; each further wait is twice as long */
  firstWait?: number
}

/** Opens the server's database. */
function openRemote({ url, user, password }: Server): RecordDatabase {
  return new PouchDB<RecordDocument>(url, {
    skip_setup: true,
    ...(user !== undefined && { auth: { username: user, password: password ?? '' } }),
  })
}

/**
 * Exchanges a log with a server for as long as it runs: everything of this device goes there, and everything of this
 * bar comes here. Records are never changed, so no two devices' work can be in conflict; `docs/logbook-format.md`
 * has the rules. Erasures are carried out on what comes in. What a server has altered is not taken; see `keepFirst.ts`.
 *
 * @throws TypeError for a log that keeps nothing
 */
export function startReplication(
  log: Logbook,
  server: Server,
  { firstWait = 1000 }: ReplicationOptions = {},
): Replication {
  const { database } = log
  if (!database) throw new TypeError('a log that keeps nothing cannot be replicated')
  const remote = openRemote(server)
  const counts = { pulled: 0, pushed: 0, denied: 0 }
  const listeners = new Set<(state: ReplicationState) => void>()
  const sides: { push: ReplicationState; pull: ReplicationState } = { push: 'exchanging', pull: 'exchanging' }
  let state: ReplicationState = 'exchanging'
  let takingIn: Promise<void> = Promise.resolve()

  const order: ReplicationState[] = ['refused', 'stopped', 'waiting', 'exchanging', 'up to date']
  function change(side: 'push' | 'pull', next: ReplicationState): void {
    sides[side] = next
    const now = order.find((each) => each === sides.push || each === sides.pull) ?? next
    if (now === state) return
    state = now
    for (const listener of listeners) listener(state)
  }

  const options = {
    live: true,
    retry: true,
    batch_size: 500,
    back_off_function: (delay: number) => backOff(delay, firstWait),
  } as const
  const push = database.replicate.to(remote, options)
  let pull: PouchDB.Replication.Replication<RecordDocument> | null = null
  let guard: GuardedTarget | null = null
  let isStopped = false
  const alteredListeners = new Set<(altered: number) => void>()
  function follow(side: 'push' | 'pull', replication: PouchDB.Replication.Replication<RecordDocument>) {
    replication
      .on('active', () => change(side, 'exchanging'))
      .on('paused', (error) => change(side, error ? 'waiting' : 'up to date'))
      .on('error', () => change(side, 'refused'))
      .catch(() => undefined)
  }
  follow('push', push)
  push.on('denied', () => (counts.denied += 1))
  push.on('change', ({ docs }) => (counts.pushed += docs.length))

  async function startPull() {
    const guarded = await guardTarget(log, () => {
      for (const listener of alteredListeners) listener(guarded.altered())
    })
    guard = guarded
    if (isStopped) return
    pull = PouchDB.replicate(remote, guarded.target, {
      ...options,
      filter: 'earshot/bar',
      query_params: { bar: log.bar },
    })
    follow('pull', pull)
    pull.on('change', ({ docs }) => {
      counts.pulled += docs.length
      takeIn()
    })
  }
  void startPull().catch(() => change('pull', 'refused'))
  // what a killed window left undone
  takeIn()

  /** A store that fails leaves the mark where it was, so the same is taken in with the next change. */
  function takeIn(): void {
    takingIn = takingIn
      .then(() => log.takeIn())
      .then(() => guard?.lookAgain())
      .catch(() => undefined)
  }

  return {
    get state() {
      return state
    },
    counts,
    get altered() {
      return guard?.altered() ?? 0
    },
    onAltered(listener) {
      alteredListeners.add(listener)
      return () => alteredListeners.delete(listener)
    },
    onState(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    async stop() {
      isStopped = true
      push.cancel()
      pull?.cancel()
      await takingIn
      change('push', 'stopped')
      change('pull', 'stopped')
    },
  }
}

/** Puts the design document into the server's database, or renews it. The server's administrator does this once. */
export async function setUpServer(server: Server): Promise<void> {
  const remote = openRemote(server) as unknown as PouchDB.Database<typeof designDocument>
  const before = await remote.get(designName).catch((error: PouchDB.Core.Error) => {
    if (error.status === 404) return null
    throw error
  })
  await remote.put({ ...designDocument, ...(before && { _rev: before._rev }) } as never)
}

/** The chain's figures: shots and shots in the window, by bar and coffee, of everything that the server has. */
export async function chainFigures(server: Server): Promise<ChainFigures[]> {
  const answer = await openRemote(server).query('earshot/shots', { group_level: 2 })
  return readChainFigures(answer)
}
