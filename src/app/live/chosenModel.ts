import { ModelError } from '../../hearing/index.ts'

/** A recognition model of the user's own, kept in this browser in place of the built-in one. */
export interface ChosenModel {
  name: string
  archive: Blob
  /** what it says of its licence and origin; null when it says nothing */
  notice: string | null
  /** words of the grammars that it does not know */
  missing: readonly string[]
}

const cacheName = 'chosen model'
const inUse = '/chosen-model'
const before = '/chosen-model-before'

const open = () => ('caches' in globalThis ? caches.open(cacheName).catch(() => null) : null)

async function read(address: string): Promise<ChosenModel | null> {
  // a window that keeps nothing has no model of its own either
  const kept = await (await open())?.match(address)
  if (!kept) return null
  const about = JSON.parse(decodeURIComponent(kept.headers.get('X-About') ?? '')) as Omit<
    ChosenModel,
    'archive'
  >
  return { ...about, archive: await kept.blob() }
}

async function write(address: string, model: ChosenModel | null): Promise<void> {
  const cache = await caches.open(cacheName)
  if (!model) return void (await cache.delete(address))
  const { archive, ...about } = model
  const headers = { 'X-About': encodeURIComponent(JSON.stringify(about)) }
  await cache.put(address, new Response(archive, { headers }))
}

/** The model that was chosen, or `null` for the built-in one. */
export const chosenModel = () => read(inUse)

/**
 * Keeps a model as the one to use, `null` for the built-in one; the one in use until now becomes the one before.
 * @throws ModelError when the browser has no room for it; the model in use stays
 */
export async function keepModel(model: ChosenModel | null): Promise<void> {
  try {
    const old = await read(inUse)
    await write(before, old)
    // last, so that it stays when there is no room
    await write(inUse, model)
  } catch (cause) {
    throw new ModelError('no room', String(cause), { cause })
  }
}

/** Goes back to the model before. Doing it twice comes back. @returns the model now in use, `null` for the built-in one */
export async function rollBackModel(): Promise<ChosenModel | null> {
  const next = await read(before)
  await keepModel(next)
  return next
}
