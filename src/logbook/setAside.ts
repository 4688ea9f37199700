import type { Store } from './store.ts'

const key = 'set aside'

/** Keeps a state of the bar that it could not work from, in place of one from before, to be looked at. */
export async function setAside(store: Store, state: unknown): Promise<void> {
  await store.add([], [{ key, value: { at: Date.now() / 1000, state } }]).catch(() => undefined)
}

/** The state that was set aside, as a JSON file; `null` when there is none. */
export async function stateSetAside(store: Store): Promise<Blob | null> {
  const kept = await store.note(key)
  return kept === undefined ? null : new Blob([JSON.stringify(kept, null, 2)], { type: 'application/json' })
}
