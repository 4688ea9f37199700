/** A page that opens the real log in a real browser and lets a test work it. */
import * as logbook from '../../../src/logbook/index.ts'
import { spokenSession } from './spokenSession.ts'

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

const page = { ...logbook, attempt, spokenSession }

declare global {
  interface Window {
    page: typeof page
    /** for a log that a test keeps open between two steps */
    log: logbook.Logbook
  }
}

window.page = page
