import type { BrowserContext, Page } from 'playwright-core'
import type {} from '../../harness/logbookPage/page.ts'

/** What was told and found over all runs. */
export interface Tally {
  /** ids of the entries that were called logged */
  logged: Set<string>
  faults: string[]
  /** milliseconds from one entry logged to the next */
  latencies: number[]
  /** records at the last look */
  found: number
  /** other things worth telling, counted */
  seen: Record<string, number>
}

/** Something that writes a log until it is killed, run after run on one profile. */
export interface Session {
  /** milliseconds from the start to the kill: at least, and how much more at the most */
  shortest: number
  spread: number
  /** Looks at the log before the session goes on. */
  check(context: BrowserContext, tally: Tally, fault: (text: string) => void): Promise<void>
  /** Starts the session; the list grows by each id that is called logged. */
  start(context: BrowserContext, tally: Tally, fault: (text: string) => void): Promise<readonly string[]>
  close(): Promise<void>
}

/** Counts one more of something. */
export function count(tally: Tally, what: string): void {
  tally.seen[what] = (tally.seen[what] ?? 0) + 1
}

/** What the log must be like whoever wrote it. The log stays open in the page, as `window.log`. */
export async function checkLog(page: Page, name: string, tally: Tally, fault: (text: string) => void) {
  const found = await page.evaluate(async (name) => {
    window.log = await window.page.openLogbook({ name, wait: true })
    const records = await window.log.entries()
    const loaded = await window.log.loadSnapshot()
    return {
      records,
      troubles: window.log.troubles.map((trouble) => trouble.kind),
      snapshot: loaded?.snapshot,
      missed: loaded?.missed ?? 0,
      shiftShots: window.page.shotRows(await window.log.shift()).length,
      /** ids of shots of which no cup has come to an end */
      waiting: window.page.shotRows(records).flatMap((row) => (row.outcome === null ? [row.id] : [])),
    }
  }, name)
  const ids = found.records.map((record) => record.entry.id)
  const present = new Set(ids)
  const lost = [...tally.logged].filter((id) => !present.has(id))
  if (lost.length > 0) fault(`${lost.length} logged entries lost: ${lost.slice(0, 5).join(', ')}`)
  if (present.size !== ids.length) fault('an entry is there twice')
  if (found.records.some(({ sequence }, i) => sequence !== i + 1)) fault('a gap in the numbers')
  if (found.troubles.includes('evicted')) fault('told of a loss')
  tally.found = ids.length
  return { ...found, entries: ids.length, last: found.records.at(-1)?.entry.kind }
}
