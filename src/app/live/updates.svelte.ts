import { isKeeping } from '../device/keeping.ts'

/** Seconds for which it is shown that the app is kept. */
const noticeTime = 15

/** How far the app is kept for work without a network, and whether a newer one waits. */
export interface Updates {
  /** 0 to 1 while it is being kept; `null` before and after */
  readonly keeping: number | null
  /** it has just been kept for the first time */
  readonly isKept: boolean
  readonly isNewerWaiting: boolean
  /** Loads the newer app. What is under way would be cut off: ask first. */
  useNewer(): void
}

/** Has the service worker keep the app. Does nothing where there is none, as while developing. */
export function followUpdates(): Updates {
  let keeping = $state<number | null>(null)
  let isKept = $state(false)
  let waiting = $state.raw<ServiceWorker | null>(null)
  let isTakingOver = false

  async function register(workers: ServiceWorkerContainer) {
    const isFirst = !workers.controller
    workers.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
      if (!isKeeping(data)) return
      keeping = data.share < 1 ? data.share : null
    })
    workers.addEventListener('controllerchange', () => {
      keeping = null
      if (isTakingOver) location.reload()
      else if (isFirst) {
        isKept = true
        setTimeout(() => (isKept = false), noticeTime * 1000)
      }
    })
    const registration = await workers.register('serviceWorker.js', { scope: './' })
    const look = (worker: ServiceWorker | null) => {
      if (worker?.state === 'installed' && workers.controller) waiting = worker
    }
    look(registration.waiting)
    registration.addEventListener('updatefound', () => {
      const worker = registration.installing
      worker?.addEventListener('statechange', () => look(worker))
    })
  }
  if (import.meta.env.PROD && 'serviceWorker' in navigator)
    // without it the app works as long as there is a network
    register(navigator.serviceWorker).catch((error: unknown) => console.warn('not kept', error))

  return {
    get keeping() {
      return keeping
    },
    get isKept() {
      return isKept
    },
    get isNewerWaiting() {
      return waiting !== null
    },
    useNewer() {
      isTakingOver = true
      waiting?.postMessage('take over')
    },
  }
}
