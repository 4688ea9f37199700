import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { rm } from 'node:fs/promises'
import { join } from 'node:path'
import { chromium } from 'playwright-core'
import { chromiumFlags, newProfile, requireChromium, servePages } from '../browser/logbookBrowser.ts'
import type {} from '../browser/pages/logbookPage.ts'

/**
 * Kills the browser in the middle of a session, again and again on one profile, and looks each time whether every
 * entry that was called logged is there, whether the log has no gap and no double, and whether the machine resumes
 * from what the log says. `npm run bench -- durability [runs] [random seed]`
 */
export default async function durability([
  runsText = '200',
  seedText = '1',
]: readonly string[]): Promise<void> {
  const runs = Number(runsText)
  const random = mulberry32(Number(seedText))
  const server = await servePages()
  const profile = await newProfile()
  const logged = new Set<string>()
  const faults: string[] = []
  const latencies: number[] = []
  let entries = 0
  try {
    // after the last kill the log is looked at once more
    for (let run = 1; run <= runs + 1; run += 1) {
      const browser = await startChromiumProcess(profile)
      const connection = await chromium.connectOverCDP(`http://127.0.0.1:${browser.port}`)
      const context = connection.contexts()[0]
      if (!context) throw new Error('the browser has no context')
      const page = await context.newPage()
      const thisRun: string[] = []
      let previous = 0
      await page.exposeFunction('tell', (id: string, time: number) => {
        thisRun.push(id)
        if (previous > 0) latencies.push(time - previous)
        previous = time
      })
      await page.goto(server.url)
      await page.waitForFunction(() => 'page' in window)
      const found = await page.evaluate(async () => {
        const log = await window.page.openLogbook({ name: 'durability', wait: true })
        const records = await log.entries()
        const tell = (window as unknown as { tell(id: string, time: number): void }).tell
        const resumed = await window.page.spokenSession(log, (id) => tell(id, performance.now()))
        return {
          ids: records.map((record) => record.entry.id),
          sequences: records.map((record) => record.sequence),
          resumed,
          troubles: log.troubles.map((trouble) => trouble.kind),
        }
      })
      const present = new Set(found.ids)
      const lost = [...logged].filter((id) => !present.has(id))
      if (lost.length > 0)
        faults.push(`run ${run}: ${lost.length} logged entries lost: ${lost.slice(0, 5).join(', ')}`)
      if (present.size !== found.ids.length) faults.push(`run ${run}: an entry is there twice`)
      if (found.sequences.some((sequence, i) => sequence !== i + 1))
        faults.push(`run ${run}: a gap in the numbers`)
      const last = found.ids.at(-1) ?? null
      if (found.resumed.made !== found.ids.length || found.resumed.last !== last)
        faults.push(
          `run ${run}: resumed at ${found.resumed.made} (${found.resumed.last}), the log has ${found.ids.length} (${last})`,
        )
      if (found.troubles.includes('evicted')) faults.push(`run ${run}: told of a loss`)
      entries = found.ids.length

      if (run <= runs) await new Promise((wake) => setTimeout(wake, 20 + random() * 700))
      await kill(browser.process)
      // what was told up to the kill was told; the connection may still hold some of it
      await connection.close().catch(() => undefined)
      if (run > runs) break
      for (const id of thisRun) logged.add(id)
      if (run % 25 === 0)
        console.log(`${run} kills, ${logged.size} entries called logged, ${faults.length} faults`)
    }
  } finally {
    await server.close()
    await rm(profile, { recursive: true, force: true })
  }
  latencies.sort((a, b) => a - b)
  const at = (share: number) => (latencies[Math.floor(share * (latencies.length - 1))] ?? NaN).toFixed(1)
  console.log(
    `${runs} kills (SIGKILL to every process of the browser); ${logged.size} entries called logged, ` +
      `${entries} found at the last start; lost or wrong: ${faults.length}`,
  )
  console.log(`from entry to logged: median ${at(0.5)} ms, 95 % ${at(0.95)} ms, longest ${at(1)} ms`)
  for (const fault of faults) console.log(fault)
  if (faults.length > 0) process.exitCode = 1
}

/** Chromium as a process group of its own, so that all of it can be killed at once. */
async function startChromiumProcess(profile: string): Promise<{ process: ChildProcess; port: number }> {
  const portFile = join(profile, 'DevToolsActivePort')
  await rm(portFile, { force: true })
  const started = spawn(
    requireChromium(),
    [...chromiumFlags, '--remote-debugging-port=0', `--user-data-dir=${profile}`, 'about:blank'],
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

/** Small random generator, so that a run can be repeated. */
function mulberry32(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}
