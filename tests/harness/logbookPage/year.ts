import {
  longSeries,
  openLogbook,
  shiftReport,
  shiftSeries,
  shotRows,
  type Logbook,
} from '../../../src/logbook/index.ts'
import { recordId, recordVersion, type LogRecord } from '../../../src/logbook/record.ts'
import type { Entry } from '../../../src/messages/entry.ts'

/** 1 January 2026, 07:00 local, in seconds. */
const start = new Date(2026, 0, 1, 7).getTime() / 1000
const opening = 12 * 3600

/** Fills a log with days of shots, as another device would have logged them. */
export async function fillYear(
  log: Logbook,
  days: number,
  shots: number,
): Promise<{ records: number; seconds: number }> {
  const began = performance.now()
  let sequence = 0
  let records = 0
  for (let day = 0; day < days; day += 1) {
    const batch: LogRecord[] = []
    const add = (entry: Entry) => {
      sequence += 1
      const wall = new Date(entry.at * 1000).toISOString()
      const id = recordId(Math.round(entry.at * 1000), 'yearlong', sequence)
      batch.push({ id, version: recordVersion, bar: 'bar', device: 'yearlong', sequence, wall, entry })
    }
    const morning = start + day * 86_400
    const id = (n: number | string) => `${day}-${n}`
    add({
      id: id('o'),
      at: morning - 1,
      kind: 'shift opened',
      coffee: 1 + (day % 4),
      grinder: 1,
      recipe: 'double',
    })
    for (let n = 0; n < shots; n += 1) {
      const at = morning + (n * opening) / shots
      const shot = id(n)
      add({
        id: shot,
        at,
        kind: 'shot',
        shot,
        recipe: n % 5 === 0 ? 'triple' : 'double',
        coffee: 1 + (day % 4),
        grinder: 1,
        seconds: 16 + ((n * 7 + day) % 80) / 10,
        windowOpens: n % 5 === 0 ? 25 : 17,
        windowCloses: n % 5 === 0 ? 30 : 22,
        notch: 10 + ((n >> 4) % 5),
        purged: true,
        practice: false,
      })
      add({
        id: id(`${n}j`),
        at: at + 2,
        kind: 'judged',
        shot,
        looks: ['even'],
        tastes: [],
        action: 'leave',
        serve: true,
      })
      add({
        id: id(`${n}h`),
        at: at + 5,
        kind: 'hand-off',
        shot,
        outcome: 'served',
        into: 'milk',
        margin: 10 - (n % 8),
      })
      if (n % 16 === 15)
        add({
          id: id(`${n}m`),
          at: at + 8,
          kind: 'grind moved',
          notches: 1,
          notch: 10 + ((n >> 4) % 5),
          advised: 1,
        })
    }
    add({ id: id('c'), at: morning + opening + 1, kind: 'shift closed' })
    await log.merge(batch)
    records += batch.length
  }
  await log.close()
  return { records, seconds: (performance.now() - began) / 1000 }
}

/** Seconds that making every day's summary takes, as when their layout changes. */
export async function timeFirstSummary(name: string): Promise<number> {
  const log = await openLogbook({ name })
  await log.store.add([], [{ key: 'days', value: { version: 0 } }])
  const began = performance.now()
  await log.days.summaries()
  const seconds = (performance.now() - began) / 1000
  await log.close()
  return seconds
}

export interface YearTimings {
  steps: { what: string; seconds: number; size: string }[]
  memory: number
  disk: number
}

/** Times what a person waits for, on a log that was just opened. */
export async function timeYear(name: string): Promise<YearTimings> {
  const steps: YearTimings['steps'] = []
  async function time<T>(what: string, work: () => Promise<T>, size: (value: T) => string): Promise<T> {
    const began = performance.now()
    const value = await work()
    steps.push({ what, seconds: (performance.now() - began) / 1000, size: size(value) })
    return value
  }
  const records = (value: readonly unknown[]) => `${value.length} records`
  const log = await time(
    'open',
    () => openLogbook({ name }),
    () => '',
  )
  const [last] = await log.entries({ last: 1 })
  const end = last?.entry.at ?? 0
  await time(
    'append one entry',
    () => log.append({ id: 'x', at: end + 1, kind: 'purged' }),
    () => '',
  )
  await time(
    'append one entry more',
    () => log.append({ id: 'y', at: end + 2, kind: 'purged' }),
    () => '',
  )
  await time(
    'undo it',
    () => log.append({ id: 'z', at: end + 3, kind: 'taken back', entry: 'y' }),
    () => '',
  )
  const day = await time('query: one day', () => log.entries({ from: end - 86_000, to: end }), records)
  await time(
    'query: one day in the middle of the year',
    () => log.entries({ from: end - 183 * 86_400 - 86_000, to: end - 183 * 86_400 }),
    records,
  )
  await time('query: the last 1000', () => log.entries({ last: 1000 }), records)
  await time(
    "chart and table: one day, grinder's drift too",
    async () => {
      shotRows(day)
      return shiftSeries(day)
    },
    (series) => `${series.shots.at.length} shots`,
  )
  await time(
    'report: one day',
    async () => shiftReport(day),
    (report) => `${report.shots} shots`,
  )
  const summaries = await time(
    'query: the year by days',
    () => log.days.summaries(),
    (value) => `${value.length} days`,
  )
  const chart = await time(
    'chart: every shot of the year',
    async () => longSeries(summaries),
    (series) => `${series.shots.at.length} shots`,
  )
  await time(
    'query: the year again',
    () => log.days.summaries(),
    (value) => `${value.length} days`,
  )
  const { usage = 0 } = await navigator.storage.estimate()
  const { memory } = performance as unknown as { memory?: { usedJSHeapSize: number } }
  await log.close()
  return { steps, memory: chart.shots.at.length === 0 ? 0 : (memory?.usedJSHeapSize ?? 0), disk: usage }
}
