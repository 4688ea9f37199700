import type { Page } from 'playwright-core'
import { servePages } from '../../harness/logbookBrowser.ts'
import type { SessionState } from '../../harness/logbookPage/spokenSession.ts'
import { checkLog, type Session } from './session.ts'

/** The log alone, written as fast as it says logged, so that more kills fall into the middle of a write. */
export async function logSession(): Promise<Session> {
  const pages = await servePages()
  let page: Page
  return {
    shortest: 20,
    spread: 700,
    async check(context, tally, fault) {
      page = await context.newPage()
      await page.goto(pages.url)
      await page.waitForFunction(() => 'page' in window)
      const { snapshot, missed, entries } = await checkLog(page, 'durability', tally, fault)
      const made = ((snapshot as SessionState | undefined)?.made ?? 0) + missed
      if (made !== entries) fault(`would go on after ${made} entries, the log has ${entries}`)
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
