import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'
import { randomFrom } from '../../src/coffee/random.ts'
import { kill, startChromiumProcess } from './durability/chromiumProcess.ts'
import { logSession } from './durability/logSession.ts'
import type { Tally } from './durability/session.ts'
import { spokenSession } from './durability/spokenSession.ts'

/**
 * Kills the browser in the middle of a session, again and again on one profile, and looks each time whether every
 * entry that was called logged is there, whether the log has no gap and no double, and whether the machine goes on from
 * what the log says.
 *
 * `npm run bench -- durability [runs] [random seed] [spoken|log]`: `spoken` talks to the built app through the browser's
 * microphone; `log` works the log alone, with nothing else to wait for, so that more kills fall into the middle of a
 * write.
 */
export default async function durability([
  runs = '200',
  seed = '1',
  what = 'spoken',
]: readonly string[]): Promise<void> {
  if (what !== 'spoken' && what !== 'log') throw new Error(`spoken or log, not ${what}`)
  const random = randomFrom(Number(seed)).uniform
  const folder = await mkdtemp(join(tmpdir(), 'earshot-durability-'))
  const profile = join(folder, 'profile')
  const microphone = join(folder, 'microphone.wav')
  const session = what === 'spoken' ? await spokenSession(random, microphone) : await logSession()
  const tally: Tally = { logged: new Set(), faults: [], latencies: [], found: 0, seen: {} }
  try {
    // after the last kill the log is looked at once more
    for (let run = 1; run <= Number(runs) + 1; run += 1) {
      const browser = await startChromiumProcess(profile, what === 'spoken' ? microphone : undefined)
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
      if (run % 10 === 0)
        console.log(`${run} kills, ${tally.logged.size} entries called logged, ${tally.faults.length} faults`)
    }
  } finally {
    await session.close()
    await rm(folder, { recursive: true, force: true })
  }
  const { logged, faults, latencies, found, seen } = tally
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
  if (Object.keys(seen).length > 0) console.log(JSON.stringify(seen))
  if (faults.length > 0) process.exitCode = 1
}
