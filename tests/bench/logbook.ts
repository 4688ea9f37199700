import { rm } from 'node:fs/promises'
import { newProfile, openPage, servePages } from '../harness/logbookBrowser.ts'
import { startChromium } from '../harness/startChromium.ts'
import type {} from '../harness/logbookPage/page.ts'

/** Seconds that each may take. */
const budget = 1

/**
 * A year of a busy bar in the real store: 300 shots a day, each with its judgement and hand-off, and moves of the grind.
 * Measures opening, queries and charts against one second each, and the page's memory.
 * `npm run bench -- logbook [days] [shots a day]`
 */
export default async function logbook([
  daysText = '365',
  shotsText = '300',
]: readonly string[]): Promise<void> {
  const [days, shots] = [Number(daysText), Number(shotsText)]
  const server = await servePages()
  const profile = await newProfile()
  let context = await startChromium(profile, ['--enable-precise-memory-info'])
  let failed = false
  try {
    let page = await openPage(context, server.url)
    const filled = await page.evaluate(
      async ([days, shots]) =>
        window.page.fillYear(await window.page.openLogbook({ name: 'year' }), days, shots),
      [days, shots] as const,
    )
    console.log(
      `${filled.records} records of ${days * shots} shots, written at ${(filled.records / filled.seconds).toFixed(0)} a second`,
    )
    const first = await page.evaluate(() => window.page.timeFirstSummary('year'))
    console.log(`all day summaries made anew, once: ${first.toFixed(1)} s`)
    await context.close()

    // a cold start: a new browser, nothing in memory
    context = await startChromium(profile, ['--enable-precise-memory-info'])
    page = await openPage(context, server.url)
    const timings = await page.evaluate(() => window.page.timeYear('year'))
    for (const { what, seconds, size } of timings.steps) {
      const isOver = seconds > budget
      failed ||= isOver
      console.log(
        `${what.padEnd(44)} ${seconds.toFixed(3).padStart(7)} s  ${(seconds / budget).toFixed(2).padStart(5)} of the budget  ${size}${isOver ? '  OVER' : ''}`,
      )
    }
    console.log(
      `memory of the page with a year's chart: ${(timings.memory / 1024 / 1024).toFixed(0)} MB of heap; disk ${(timings.disk / 1024 / 1024).toFixed(0)} MB`,
    )
  } finally {
    await context.close()
    await server.close()
    await rm(profile, { recursive: true, force: true })
  }
  if (failed) process.exitCode = 1
}
