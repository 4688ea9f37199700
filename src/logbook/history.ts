import { dayBounds, dayOf, outcomes, type DaySummary } from './daySummary.ts'
import { isInWindow } from './effective.ts'
import type { Said } from './report.ts'

/** Which shots are meant: all, or those of one coffee, grinder or barista. */
export interface HistoryFilter {
  coffee?: number
  grinder?: number
  person?: number
}

/** A day of shots in a few numbers. */
export interface HistoryDay {
  day: string
  /** its midnight, bar-clock seconds */
  at: number
  shots: number
  inWindow: number
  /** shots up to and with the first in the window; `null` when none was */
  firstHit: number | null
  /** expired, thrown out, or judged not fit to serve */
  wasted: number
  /** where the grinder stood at the last shot */
  notch: number
}

/** How a shot's time moves at an untouched grind, by the hour of the day. */
export interface DayDrift {
  /** hours from midnight */
  hour: number[]
  /** change since the first hour that has pairs, percent; positive is slower */
  percent: number[]
}

/** Days, and what they have in common. */
export interface History {
  /** only days on which such shots were pulled */
  days: HistoryDay[]
  drift: DayDrift
  shots: number
  inWindow: number
  wasted: number
}

/** The numbers of the coffees, grinders and baristas that pulled shots, in order. */
export function namesIn(summaries: readonly DaySummary[]): Record<keyof HistoryFilter, number[]> {
  const all = (column: keyof HistoryFilter) =>
    [...new Set(summaries.flatMap((day) => day[column]))].filter((one) => one > 0).sort((a, b) => a - b)
  return { coffee: all('coffee'), grinder: all('grinder'), person: all('person') }
}

/** Sums up days. @param summaries in order of their days, from `Days.summaries` */
export function historyOf(summaries: readonly DaySummary[], filter: HistoryFilter = {}): History {
  const days = summaries.flatMap((summary) => dayOfHistory(summary, placesOf(summary, filter)))
  const sum = (of: (day: HistoryDay) => number) => days.reduce((all, day) => all + of(day), 0)
  return {
    days,
    drift: driftThroughDay(summaries, filter),
    shots: sum(({ shots }) => shots),
    inWindow: sum(({ inWindow }) => inWindow),
    wasted: sum(({ wasted }) => wasted),
  }
}

/** Where in a summary's columns the shots are that are meant. */
function placesOf(summary: DaySummary, filter: HistoryFilter): number[] {
  const wanted = Object.entries(filter) as [keyof HistoryFilter, number][]
  return summary.at.flatMap((_, i) =>
    wanted.every(([column, one]) => summary[column][i] === one) ? [i] : [],
  )
}

const isHit = ({ seconds, opens, closes }: DaySummary, i: number) =>
  isInWindow({ seconds: seconds[i] ?? 0, windowOpens: opens[i] ?? 0, windowCloses: closes[i] ?? 0 })

function isWasted({ outcome, refused }: DaySummary, i: number): boolean {
  const end = outcomes[outcome[i] ?? 0]
  return end === 'not told' ? refused[i] === 1 : end !== 'served'
}

function dayOfHistory(summary: DaySummary, places: readonly number[]): HistoryDay[] {
  const last = places.at(-1)
  if (last === undefined) return []
  const first = places.findIndex((i) => isHit(summary, i))
  return [
    {
      day: summary.day,
      at: dayBounds(summary.day).from / 1000,
      shots: places.length,
      inWindow: places.filter((i) => isHit(summary, i)).length,
      firstHit: first < 0 ? null : first + 1,
      wasted: places.filter((i) => isWasted(summary, i)).length,
      notch: summary.notch[last] ?? 0,
    },
  ]
}

/** Two shots this far apart say nothing about what happened in between, seconds. */
const longestPause = 3 * 3600

/**
 * Pairs of neighbouring shots at one notch, grinder, coffee and recipe: the change of ln(time) in a pair, over the time
 * between them, is the drift at that hour. An hour's drift is the sum of the changes over the sum of the times, so that
 * the scatter of single shots cancels within a stretch; the hours are added up from the first.
 */
function driftThroughDay(summaries: readonly DaySummary[], filter: HistoryFilter): DayDrift {
  const hours = new Map<number, { change: number; hours: number }>()
  for (const summary of summaries) {
    const { at, seconds, notch, grinder, coffee, recipe } = summary
    /** the last shot of each grinder, coffee and recipe since the grinder was moved */
    const before = new Map<string, number>()
    const notchOf = new Map<number, number>()
    for (const i of placesOf(summary, filter)) {
      const time = seconds[i] ?? 0
      if (time <= 0) continue
      const machine = grinder[i] ?? 0
      // a grind that was moved and moved back begins a new stretch
      if (notchOf.get(machine) !== notch[i])
        for (const key of before.keys()) if (key.startsWith(`${machine} `)) before.delete(key)
      notchOf.set(machine, notch[i] ?? 0)
      const setting = `${machine} ${coffee[i]} ${recipe[i]}`
      const earlier = before.get(setting)
      before.set(setting, i)
      if (earlier === undefined) continue
      const apart = (at[i] ?? 0) - (at[earlier] ?? 0)
      if (apart <= 0 || apart > longestPause) continue
      const hour = new Date(((at[i] ?? 0) - apart / 2) * 1000).getHours()
      const sum = hours.get(hour) ?? { change: 0, hours: 0 }
      sum.change += Math.log(time / (seconds[earlier] ?? time))
      sum.hours += apart / 3600
      hours.set(hour, sum)
    }
  }
  const drift: DayDrift = { hour: [], percent: [] }
  let total = 0
  for (const [hour, { change, hours: span }] of [...hours].sort(([a], [b]) => a - b)) {
    if (drift.hour.length === 0) {
      drift.hour.push(hour)
      drift.percent.push(0)
    }
    total += change / span
    drift.hour.push(hour + 1)
    drift.percent.push(100 * (Math.exp(total) - 1))
  }
  return drift
}

/** The local calendar day so many days before a moment, in milliseconds. */
export function daysBefore(now: number, days: number): string {
  const date = new Date(now)
  return dayOf(new Date(date.getFullYear(), date.getMonth(), date.getDate() - days).getTime())
}

/** Fewest shots of a week with which another one is compared: below, a difference is chance. */
const fewestToCompare = 20
/** Smallest difference of two weeks' shares that is worth a word, in percentage points. */
const worthSaying = 5

/**
 * The last seven days in at most three sentences.
 *
 * @param summaries of the last fourteen days
 * @param now milliseconds
 */
export function weekReport(summaries: readonly DaySummary[], now: number): Said[] {
  const from = daysBefore(now, 6)
  const week = historyOf(summaries.filter(({ day }) => day >= from))
  const before = historyOf(summaries.filter(({ day }) => day < from))
  if (week.shots === 0) return [{ sentence: 'week.none' }]
  const share = ({ inWindow, shots }: History) => Math.round((100 * inWindow) / shots)
  return [
    { sentence: 'week.shots', values: { shots: week.shots, percent: share(week) } },
    week.shots >= fewestToCompare && before.shots >= fewestToCompare
      ? compared(share(week) - share(before))
      : firstHits(week),
    week.wasted === 0
      ? { sentence: 'week.no-waste' }
      : { sentence: 'week.waste', values: { wasted: week.wasted } },
  ]
}

function compared(points: number): Said {
  if (Math.abs(points) < worthSaying) return { sentence: 'week.same' }
  return { sentence: points > 0 ? 'week.better' : 'week.worse', values: { points: Math.abs(points) } }
}

function firstHits({ days }: History): Said {
  const hits = days.flatMap(({ firstHit }) => firstHit ?? []).sort((a, b) => a - b)
  const middle = hits[Math.floor((hits.length - 1) / 2)]
  return middle === undefined
    ? { sentence: 'week.no-hit' }
    : { sentence: 'week.first-hit', values: { shots: middle } }
}

/** The days as a table for a spreadsheet, with a header. */
export function historyCsv({ days }: History): string {
  const columns = ['day', 'shots', 'inWindow', 'firstHit', 'wasted', 'notch'] as const
  return [columns.join(), ...days.map((day) => columns.map((column) => day[column] ?? '').join()), ''].join(
    '\r\n',
  )
}
