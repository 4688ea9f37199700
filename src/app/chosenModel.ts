import { unpackModel } from '../hearing/modelArchive.ts'

/** A recognition model of the user's own, kept in this browser in place of the built-in one. */
export interface ChosenModel {
  name: string
  archive: Blob
}

const cacheName = 'chosen model'
const address = '/chosen-model'

/** The model that was chosen, or `null` for the built-in one. */
export async function chosenModel(): Promise<ChosenModel | null> {
  if (!('caches' in globalThis)) return null
  // a window that keeps nothing has no model of its own either
  const kept = await caches.open(cacheName).then(
    (cache) => cache.match(address),
    () => undefined,
  )
  if (!kept) return null
  return { name: decodeURIComponent(kept.headers.get('X-Name') ?? ''), archive: await kept.blob() }
}

/**
 * Checks an archive and keeps it as the model to use from the next start.
 * @throws {ModelError} saying what is wrong with it; the model in use stays
 */
export async function chooseModel(name: string, archive: Blob): Promise<void> {
  await unpackModel(new Uint8Array(await archive.arrayBuffer()))
  const cache = await caches.open(cacheName)
  await cache.put(address, new Response(archive, { headers: { 'X-Name': encodeURIComponent(name) } }))
}

/** Goes back to the built-in model. */
export const forgetModel = () => caches.delete(cacheName)
