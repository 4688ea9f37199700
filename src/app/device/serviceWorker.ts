import { addPlugins, cleanupOutdatedCaches, precacheAndRoute, type PrecacheEntry } from 'workbox-precaching'
import type { Keeping } from './keeping.ts'

/** The little of a service worker's global scope that is used here; the page's own types do not have it. */
interface Scope {
  __WB_MANIFEST: (PrecacheEntry & { bytes?: number })[]
  addEventListener(
    type: 'activate',
    listener: (event: { waitUntil(done: Promise<unknown>): void }) => void,
  ): void
  addEventListener(type: 'message', listener: (event: { data: unknown }) => void): void
  clients: {
    claim(): Promise<void>
    matchAll(options: { includeUncontrolled: boolean }): Promise<{ postMessage(message: Keeping): void }[]>
  }
  skipWaiting(): Promise<void>
}
declare const self: Scope

/** Everything the app is made of, each with its checksum: what does not match is not kept. */
const files = self.__WB_MANIFEST
const sizes = new Map(files.map(({ url, bytes = 0 }) => [new URL(url, location.href).pathname, bytes]))
const total = files.reduce((sum, { bytes = 0 }) => sum + bytes, 0)
let kept = 0

addPlugins([
  {
    handlerDidComplete: async ({ request }) => {
      kept += sizes.get(new URL(request.url).pathname) ?? 0
      const message: Keeping = { kind: 'keeping', share: Math.min(1, kept / total) }
      for (const client of await self.clients.matchAll({ includeUncontrolled: true }))
        client.postMessage(message)
    },
  },
])
cleanupOutdatedCaches()
precacheAndRoute(files)

self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()))
// a newer app waits until the page says that nothing is under way
self.addEventListener('message', ({ data }) => {
  if (data === 'take over') void self.skipWaiting()
})
