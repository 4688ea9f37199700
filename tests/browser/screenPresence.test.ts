import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { findChromium } from '../harness/findChromium.ts'
import { openApp, type OpenedApp } from '../harness/openApp.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { wakeApp } from '../harness/wakeApp.ts'

/** What the test keeps of the page's devices, to do to them what a system does. */
interface Held {
  contexts: AudioContext[]
  tracks: MediaStreamTrack[]
  locks: WakeLockSentinel[]
  /** what is shown of the page's own state, in place of the browser's */
  visibility: DocumentVisibilityState
  devices: MediaDeviceInfo[] | null
}
declare global {
  interface Window {
    held: Held
  }
}

/** Runs in the page before the app. */
function holdDevices() {
  const held: Held = { contexts: [], tracks: [], locks: [], visibility: 'visible', devices: null }
  window.held = held
  const Context = window.AudioContext
  window.AudioContext = class extends Context {
    constructor(options?: AudioContextOptions) {
      super(options)
      held.contexts.push(this)
    }
  }
  const { mediaDevices, wakeLock } = navigator
  const ask = mediaDevices.getUserMedia.bind(mediaDevices)
  mediaDevices.getUserMedia = async (constraints) => {
    const stream = await ask(constraints)
    held.tracks.push(...stream.getTracks())
    return stream
  }
  const list = mediaDevices.enumerateDevices.bind(mediaDevices)
  mediaDevices.enumerateDevices = async () => held.devices ?? list()
  const request = wakeLock.request.bind(wakeLock)
  wakeLock.request = async (type) => {
    const lock = await request(type)
    held.locks.push(lock)
    return lock
  }
  Object.defineProperty(document, 'visibilityState', { get: () => held.visibility })
}

describe.skipIf(findChromium() === undefined)('the tool beside the rest of the device', () => {
  let site: Served
  let app: OpenedApp
  beforeAll(async () => {
    site = await serveBuilt()
    app = await openApp({ url: site.url })
    await app.context.addInitScript(holdDevices)
    await app.page.reload()
    await wakeApp(app)
    await app.page.waitForSelector('nav')
  })
  afterAll(async () => {
    await app.close()
    await site.close()
  })

  /** Does something, and waits until this is said of it. @returns what is shown in a frame then */
  async function tells(sentence: string, doing: () => Promise<unknown>): Promise<void> {
    const before = app.observations.length
    await doing()
    await expect
      .poll(() => app.observations.slice(before), { timeout: 15_000 })
      .toEqual(expect.arrayContaining([expect.objectContaining({ kind: 'said', sentence, spoken: true })]))
  }
  const trouble = () => app.page.locator('.trouble').allTextContents()
  const show = (visibility: DocumentVisibilityState) =>
    app.page.evaluate((state) => {
      window.held.visibility = state
      document.dispatchEvent(new Event('visibilitychange'))
    }, visibility)
  const locks = () => app.page.evaluate(() => window.held.locks.map(({ released }) => released))

  it('lets the screen go dark before the shift, and keeps it on while one is open', async () => {
    expect(await locks()).toEqual([])
    await app.page.keyboard.press('o')
    await expect.poll(locks).toEqual([false])
  })

  it('says that it is out of sight, shows it until somebody acts, and keeps the screen on again', async () => {
    await tells('trouble.hidden', () => show('hidden'))
    await expect.poll(locks).toEqual([true])
    await show('visible')
    await expect.poll(locks).toEqual([true, false])
    expect(await trouble()).toEqual([expect.stringContaining('out of sight')])
    await app.page.keyboard.press('w')
    await expect.poll(trouble).toEqual([])
  })

  it('takes its sound back when the system has held it, in the middle of a pour too', async () => {
    await app.page.keyboard.press('g')
    await app.page.waitForSelector('h1:text("Pouring")')
    await tells('trouble.sound-held', () =>
      app.page.evaluate(() => window.held.contexts.find(({ state }) => state === 'running')?.suspend()),
    )
    expect(await app.page.locator('h1').textContent()).toBe('Pouring')
    // the marks of the pour come all the same
    await app.waitFor((seen) => seen.kind === 'said' && seen.sentence === 'pour.opens', 25)
    await app.page.keyboard.press('s')
    await app.page.waitForSelector('h1:text("Judge")')
    // no cup is left waiting: its warnings would come first from here on
    await app.page.keyboard.press('2')
    await app.page.waitForSelector('text=Waiting cups', { state: 'hidden' })
  })

  it('tells when a headset comes or goes', async () => {
    await tells('trouble.devices-changed', () =>
      app.page.evaluate(async () => {
        window.held.devices = (await navigator.mediaDevices.enumerateDevices()).slice(1)
        navigator.mediaDevices.dispatchEvent(new Event('devicechange'))
      }),
    )
    expect(await trouble()).toEqual([expect.stringContaining('come or gone')])
  })

  it('says that the system holds the microphone, and when it has it back', async () => {
    const fire = (name: string) =>
      app.page.evaluate((type) => window.held.tracks.at(-1)?.dispatchEvent(new Event(type)), name)
    await tells('trouble.muted', () => fire('mute'))
    expect(await app.page.locator('.listening').textContent()).toContain('Cannot hear')
    expect(await trouble()).toContainEqual(expect.stringContaining('holds my microphone'))
    await fire('unmute')
    await app.page.waitForSelector('.listening:text("Listening")')
    await expect.poll(trouble).toEqual([expect.stringContaining('come or gone')])
  })

  it('says that the microphone is gone, works on, and listens again at a touch', async () => {
    await tells('trouble.unplugged', () =>
      app.page.evaluate(() => {
        const track = window.held.tracks.at(-1)
        track?.stop()
        track?.dispatchEvent(new Event('ended'))
      }),
    )
    await app.page.keyboard.press('w')
    // what is wrong stays to be read as long as it is wrong
    await expect.poll(trouble).toEqual([expect.stringContaining('The microphone is gone')])
    await app.page.getByRole('button', { name: 'Start listening' }).click()
    await app.page.waitForSelector('.listening:text("Listening")')
    await expect.poll(trouble).toEqual([])
  })

  it('wrote no error', () => {
    expect(app.errors).toEqual([])
  })
})
