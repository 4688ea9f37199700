import type { Observation, Observer } from '../../src/app/live/observe.ts'
import { installPageSound } from './pageSound.ts'
import { openBrowser, type Microphone, type OpenedBrowser } from './openBrowser.ts'

export interface OpenOptions {
  url: string
  /** with `live` it hears what the test says through {@link PageSound}, which then also records the loudspeaker */
  microphone?: Microphone | 'live'
  /** `false`: the browser stores nothing, as in some private windows */
  keeps?: boolean
  /** told of each observation as it comes */
  onObservation?: Observer
}

/** The app in a browser, with everything it reported so far. */
export interface OpenedApp extends OpenedBrowser {
  /** everything observed since the page was loaded, and after a reload too */
  observations: readonly Observation[]
  /** what the page wrote to its console as an error, and what it threw */
  errors: readonly string[]
  /**
   * Waits for an observation, past or to come.
   *
   * @param seconds how long, at most
   * @throws when it does not come in time
   */
  waitFor<O extends Observation>(
    what: (observation: Observation) => observation is O,
    seconds: number,
  ): Promise<O>
  waitFor(what: (observation: Observation) => boolean, seconds: number): Promise<Observation>
}

/** Opens the app in a fresh Chromium profile and begins to observe it. */
export async function openApp({ url, microphone, keeps, onObservation }: OpenOptions): Promise<OpenedApp> {
  const browser = await openBrowser(microphone === 'live' ? undefined : microphone, { keeps: keeps ?? true })
  const { context, page } = browser
  const observations: Observation[] = []
  const errors: string[] = []
  const listeners = new Set<() => void>()

  await context.exposeFunction('report', (observation: Observation) => {
    observations.push(observation)
    onObservation?.(observation)
    for (const listener of listeners) listener()
  })
  // the compiler that runs these scripts names functions by a helper that pages lack
  await context.addInitScript('globalThis.__name ??= (named) => named')
  await context.addInitScript(observeFromTheStart)
  if (microphone === 'live') await context.addInitScript(installPageSound)
  page.on(
    'console',
    (message) => message.type() === 'error' && errors.push(`${message.text()} ${message.location().url}`),
  )
  page.on('pageerror', (error) => errors.push(`${error}`))
  await page.goto(url)

  return {
    ...browser,
    observations,
    errors,
    waitFor: (what: (observation: Observation) => boolean, seconds: number) =>
      new Promise<never>((resolve, reject) => {
        const look = () => {
          const found = observations.find(what)
          if (!found) return
          finish()
          resolve(found as never)
        }
        const timer = setTimeout(() => {
          finish()
          reject(
            new Error(
              `not observed within ${seconds} s; last: ${JSON.stringify(observations.slice(-5))} ${errors.join()}`,
            ),
          )
        }, seconds * 1000)
        const finish = () => {
          clearTimeout(timer)
          listeners.delete(look)
        }
        listeners.add(look)
        look()
      }),
  }
}

/** Runs in the page before the app does: observes the app from the moment it opens its door. */
function observeFromTheStart() {
  let door: Window['earshot']
  Object.defineProperty(window, 'earshot', {
    get: () => door,
    set(opened: NonNullable<Window['earshot']>) {
      door = opened
      const { report } = window as unknown as { report(observation: Observation): void }
      opened.observe((observation) => {
        if ('pageSound' in window) window.pageSound.noteTime(observation.at)
        report(observation)
      })
    },
  })
}
