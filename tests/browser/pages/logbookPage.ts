/** A page that opens the real log in a real browser and lets a test work it. */
import * as logbook from '../../../src/logbook/index.ts'

const page = { ...logbook, open: new Map<string, logbook.Logbook>() }

/** Runs a log's operation and turns an error into a value that can leave the page. */
export async function attempt<T>(
  work: () => Promise<T>,
): Promise<{ value: T } | { trouble: unknown } | { error: string }> {
  try {
    return { value: await work() }
  } catch (error) {
    if (error instanceof logbook.LogbookError) return { trouble: error.trouble }
    return { error: String(error) }
  }
}

export type LogbookPage = typeof page & { attempt: typeof attempt }

declare global {
  interface Window {
    page: LogbookPage
  }
}

window.page = { ...page, attempt }
