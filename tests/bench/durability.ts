import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { cp, mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium, type BrowserContext, type Page } from 'playwright-core'
import { preview } from 'vite'
import type { Observation } from '../../src/app/observe.ts'
import { randomFrom } from '../../src/coffee/random.ts'
import { newProfile, servePages } from '../browser/logbookBrowser.ts'
import type {} from '../browser/pages/logbookPage.ts'
import { findChromium, howToInstall } from '../harness/findChromium.ts'
import { chromiumFlags } from '../harness/startChromium.ts'
import { buildIfNeeded } from '../harness/serveBuilt.ts'

/**
 * Kills the browser in the middle of a session, again and again on one profile, and looks each time whether every
 * entry that was called logged is there, whether the log has no gap and no double, and whether the machine goes on from
 * what the log says.
 *
 * `npm run bench -- durability [runs] [random seed] [app|log]`: `app` works the built app by its one big key; `log`
 * works the log alone, with nothing else to wait for, so that more kills fall into the middle of a write.
 */
export default async function durability([
  runs = '200',
  seed = '1',
  what = 'app',
]: readonly string[]): Promise<void> {
  if (what !== 'app' && what !== 'log') throw new Error(`app or log, not ${what}`)
  const random = randomFrom(Number(seed)).uniform
  const session = what === 'app' ? await appSession(random) : await logSession(random)
  const profile = await newProfile()
  const tally: Tally = { logged: new Set(), faults: [], latencies: [], found: 0, resumed: {} }
  try {
    // after the last kill the log is looked at once more
    for (let run = 1; run <= Number(runs) + 1; run += 1) {
      const browser = await startChromiumProcess(profile)
      const fault = (text: string) => {
        tally.faults.push(text)
        console.log(`run ${run}: ${text}`)
      }
      let connection
      let told: readonly string[] = []
      try {
        connection = await chromium.connectOverCDP(`http://127.0.0.1:${browser.port}`)
        const context = connection.contexts()[0]
        if (!context) throw new Error('the browser has no context')
        await session.check(context, tally, fault)
        if (run > Number(runs)) break
        told = await session.start(context, tally, fault)
        await new Promise((wake) => setTimeout(wake, session.shortest + random() * session.spread))
      } finally {
        await kill(browser.process)
        // what was told up to the kill was told; the connection may still hold some of it
        await connection?.close().catch(() => undefined)
      }
      for (const id of told) tally.logged.add(id)
      if (run % 20 === 0)
        console.log(`${run} kills, ${tally.logged.size} entries called logged, ${tally.faults.length} faults`)
    }
  } finally {
    await session.close()
    await rm(profile, { recursive: true, force: true })
  }
  const { logged, faults, latencies, found, resumed } = tally
  console.log(
    `${runs} kills (SIGKILL to every process of the browser); ${logged.size} entries called logged, ` +
      `${found} found at the end; faults: ${faults.length}`,
  )
  latencies.sort((a, b) => a - b)
  const at = (share: number) => (latencies[Math.floor(share * (latencies.length - 1))] ?? NaN).toFixed(1)
  if (latencies.length > 0)
    console.log(
      `from one entry logged to the next: median ${at(0.5)} ms, 95 % ${at(0.95)} ms, longest ${at(1)} ms`,
    )
  if (Object.keys(resumed).length > 0) console.log(`resumed at: ${JSON.stringify(resumed)}`)
  if (faults.length > 0) process.exitCode = 1
}

interface Tally {
  logged: Set<string>
  faults: string[]
  latencies: number[]
  /** records at the last look */
  found: number
  /** how often the app came back at each place */
  resumed: Record<string, number>
}

interface Session {
  /** milliseconds from the start to the kill: at least, and how much more at the most */
  shortest: number
  spread: number
  /** Looks at the log before the session goes on. */
  check(context: BrowserContext, tally: Tally, fault: (text: string) => void): Promise<void>
  /** Starts the session; the list grows by each id that is called logged. */
  start(context: BrowserContext, tally: Tally, fault: (text: string) => void): Promise<readonly string[]>
  close(): Promise<void>
}

/** What the log must be like whoever wrote it. */
async function checkLog(page: Page, name: string, tally: Tally, fault: (text: string) => void) {
  const found = await page.evaluate(async (name) => {
    window.log = await window.page.openLogbook({ name, wait: true })
    const records = await window.log.entries()
    const loaded = await window.log.loadSnapshot()
    const shift = await window.log.shift()
    return {
      ids: records.map((record) => record.entry.id),
      sequences: records.map((record) => record.sequence),
      troubles: window.log.troubles.map((trouble) => trouble.kind),
      snapshot: loaded?.snapshot,
      later: loaded?.later.length ?? 0,
      shiftShots: window.page.shotRows(shift).length,
      last: records.at(-1)?.entry.kind,
    }
  }, name)
  const present = new Set(found.ids)
  const lost = [...tally.logged].filter((id) => !present.has(id))
  if (lost.length > 0) fault(`${lost.length} logged entries lost: ${lost.slice(0, 5).join(', ')}`)
  if (present.size !== found.ids.length) fault('an entry is there twice')
  if (found.sequences.some((sequence, i) => sequence !== i + 1)) fault('a gap in the numbers')
  if (found.troubles.includes('evicted')) fault('told of a loss')
  tally.found = found.ids.length
  return found
}

/** The log alone, written as fast as it says logged. */
async function logSession(_random: () => number): Promise<Session> {
  const pages = await servePages()
  let page: Page
  return {
    shortest: 20,
    spread: 700,
    async check(context, tally, fault) {
      page = await context.newPage()
      await page.goto(pages.url)
      await page.waitForFunction(() => 'page' in window)
      const found = await checkLog(page, 'durability', tally, fault)
      const state = found.snapshot as { made: number } | undefined
      const made = (state?.made ?? 0) + found.later
      if (made !== found.ids.length)
        fault(`would go on after ${made} entries, the log has ${found.ids.length}`)
    },
    async start(_context, { latencies }) {
      const told: string[] = []
      let previous = 0
      await page.exposeFunction('tell', (id: string, time: number) => {
        told.push(id)
        if (previous > 0) latencies.push(time - previous)
        previous = time
      })
      await page.evaluate(async () => {
        const { tell } = window as unknown as { tell(id: string, time: number): void }
        await window.page.spokenSession(window.log, (id) => tell(id, performance.now()))
      })
      return told
    },
    close: pages.close,
  }
}

/** The app, worked by the key that does the likely next thing. */
async function appSession(random: () => number): Promise<Session> {
  const [app, pages] = [await serveCopy(), await servePages()]
  /** what was seen of the run before: the places, last one last, and whether a press was still without an answer */
  let before: Seen = { places: [], isPressed: false }
  return {
    shortest: 300,
    spread: 9000,
    async check(context, tally, fault) {
      // the log is looked at from a page of the app's own origin
      const page = await context.newPage()
      const folder = `${app.url}look/`
      await page.route(`${folder}**`, async (route) => {
        const response = await fetch(route.request().url().replace(folder, new URL('./', pages.url).href))
        await route.fulfill({
          status: response.status,
          contentType: response.headers.get('content-type') ?? '',
          body: Buffer.from(await response.arrayBuffer()),
        })
      })
      await page.goto(`${folder}logbook.html`)
      await page.waitForFunction(() => 'page' in window)
      const found = await checkLog(page, 'earshot', tally, fault)
      const shots = shotsRemembered(found.snapshot)
      if (found.ids.length > 0 && found.later > 0)
        fault(`${found.later} entries that the machine does not know of`)
      if (shots !== null && found.last !== 'shift closed' && shots !== found.shiftShots)
        fault(`the machine remembers ${shots} shots, the log has ${found.shiftShots}`)
      await page.evaluate(() => window.log.close())
      await page.close()
    },
    async start(context, tally, fault) {
      const told: string[] = []
      const seen: Seen = { places: [], isPressed: false }
      let isListening = false
      const page = await context.newPage()
      await page.exposeFunction('report', (observation: Observation) => {
        if (observation.kind === 'logged') told.push(observation.entry.id)
        if (observation.kind === 'state') {
          if (seen.places.at(-1) !== observation.state) seen.places.push(observation.state)
          seen.isPressed = false
        }
        if (observation.kind === 'listening') isListening = true
        if (observation.kind === 'said' && observation.sentence === 'trouble.state-lost')
          fault('the state was lost')
      })
      await page.addInitScript({
        content: `let door
          Object.defineProperty(window, 'earshot', {
            get: () => door,
            set(opened) { door = opened; opened.observe(window.report) },
          })`,
      })
      await page.goto(app.url)
      await page.getByRole('button').first().click()
      while (!isListening) await new Promise((wake) => setTimeout(wake, 20))
      const place = seen.places[0] ?? 'nowhere'
      tally.resumed[place] = (tally.resumed[place] ?? 0) + 1
      // the state is kept with each command: it is the last one that was seen or, when the keeping was cut short, the
      // one before; what a press without an answer has led to was not seen
      const last = before.places.slice(-2)
      if (last.length > 0 && !last.includes(place) && !before.isPressed)
        fault(`was at ${last.join(', then ')}, came back at ${place}`)
      before = seen
      void press(page, seen, random)
      return told
    },
    async close() {
      await app.close()
      await pages.close()
    },
  }
}

/** Serves a copy of the built app, so that a build meanwhile does not change it under the run. */
async function serveCopy(): Promise<{ url: string; close: () => Promise<void> }> {
  buildIfNeeded()
  const root = join(import.meta.dirname, '../..')
  const outDir = await mkdtemp(join(tmpdir(), 'earshot-app-'))
  await cp(join(root, 'dist'), outDir, { recursive: true })
  const server = await preview({
    root,
    logLevel: 'warn',
    build: { outDir },
    preview: { host: 'localhost', port: 0 },
  })
  const url = server.resolvedUrls?.local[0]
  if (!url) throw new Error('the preview server has no address')
  return {
    url,
    async close() {
      await server.close()
      await rm(outDir, { recursive: true, force: true })
    },
  }
}

/** Presses the space bar for ever: soon after each step, and after a second and more while a shot pours. */
async function press(page: Page, seen: Seen, random: () => number): Promise<void> {
  try {
    for (;;) {
      const wait = seen.places.at(-1) === 'pouring' ? 1200 + random() * 500 : 60 + random() * 150
      await new Promise((wake) => setTimeout(wake, wait))
      seen.isPressed = true
      await page.keyboard.press('Space')
    }
  } catch {
    // the browser was killed
  }
}

interface Seen {
  places: string[]
  isPressed: boolean
}

/** The number of shots that the stored machine counts in this shift. */
function shotsRemembered(value: unknown): number | null {
  if (typeof value !== 'object' || value === null) return null
  const { tally } = value as { tally?: { shots?: unknown } }
  if (typeof tally?.shots === 'number') return tally.shots
  for (const part of Object.values(value)) {
    const shots = shotsRemembered(part)
    if (shots !== null) return shots
  }
  return null
}

/** Chromium as a process group of its own, so that all of it can be killed at once. */
async function startChromiumProcess(profile: string): Promise<{ process: ChildProcess; port: number }> {
  const path = findChromium()
  if (!path) throw new Error(howToInstall)
  const portFile = join(profile, 'DevToolsActivePort')
  await rm(portFile, { force: true })
  const started = spawn(
    path,
    [
      ...chromiumFlags,
      '--use-fake-device-for-media-stream',
      '--use-fake-ui-for-media-stream',
      '--remote-debugging-port=0',
      `--user-data-dir=${profile}`,
      'about:blank',
    ],
    { detached: true, stdio: 'ignore' },
  )
  for (let tries = 0; tries < 600; tries += 1) {
    const port = existsSync(portFile) ? Number(readFileSync(portFile, 'utf8').split('\n')[0]) : 0
    if (port > 0) return { process: started, port }
    await new Promise((wake) => setTimeout(wake, 50))
  }
  throw new Error('Chromium did not start')
}

async function kill(browser: ChildProcess): Promise<void> {
  const ended = new Promise((resolve) => browser.once('exit', resolve))
  if (browser.pid !== undefined) process.kill(-browser.pid, 'SIGKILL')
  await ended
}
