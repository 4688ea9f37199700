/** A page that opens the real log in a real browser and lets a test work it. */
import * as logbook from '../../../src/logbook/index.ts'
import { spokenSession } from './spokenSession.ts'
import { fillYear, timeFirstSummary, timeYear } from './year.ts'

/** Runs a log's operation and turns an error into a value that can leave the page. */
async function attempt<T>(
  work: () => Promise<T>,
): Promise<{ value: T } | { trouble: logbook.Trouble } | { error: string }> {
  try {
    return { value: await work() }
  } catch (error) {
    if (error instanceof logbook.LogbookError) return { trouble: error.trouble }
    return { error: String(error) }
  }
}

/** Resolves when a replication comes to a state. */
function reaches(replication: logbook.Replication, wanted: logbook.ReplicationState): Promise<void> {
  return new Promise((resolve) => {
    if (replication.state === wanted) return resolve()
    const end = replication.onState((state) => {
      if (state !== wanted) return
      end()
      resolve()
    })
  })
}

const page = { ...logbook, attempt, reaches, spokenSession, fillYear, timeFirstSummary, timeYear }

declare global {
  interface Window {
    page: typeof page
    /** what a test keeps between two steps */
    log: logbook.Logbook
    replication: logbook.Replication
  }
}

window.page = page
