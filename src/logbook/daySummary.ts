import { effective, isInWindow } from './effective.ts'
import { timeOf, type LogRecord } from './record.ts'

/** How a shot ended; its place in this list stands in {@link DaySummary.outcome}. */
export const outcomes = ['not told', 'served', 'expired', 'discarded'] as const

/**
 * One day of one log, small enough that a year of them is read at once: every shot that was not practice, in columns,
 * and the moves of the grind. Derived from the records; it can be thrown away and made again.
 */
export interface DaySummary {
  /** local calendar day, `2026-07-28` */
  day: string
  /** bar-clock seconds */
  at: number[]
  seconds: number[]
  opens: number[]
  closes: number[]
  notch: number[]
  coffee: number[]
  grinder: number[]
  /** 0 where none was named */
  person: number[]
  /** places in `recipes` */
  recipe: number[]
  recipes: string[]
  /** places in {@link outcomes} */
  outcome: number[]
  /** seconds left at the hand-off, 0 where it was not told */
  margin: number[]
  /** 1 where it was judged not fit to serve */
  refused: number[]
  /** of the grind: bar-clock seconds, notches (positive is finer), where it then stood, which grinder */
  moves: { at: number; notches: number; notch: number; grinder: number }[]
}

/** Hand-offs and judgements may come after midnight for a shot before it: how long, in milliseconds. */
export const afterDay = 60 * 60 * 1000

/** A local calendar day's first and last moment, in milliseconds; a day is 23 or 25 hours long when clocks change. */
export function dayBounds(day: string): { from: number; to: number } {
  const [year = 1970, month = 1, date = 1] = day.split('-').map(Number)
  return {
    from: new Date(year, month - 1, date).getTime(),
    to: new Date(year, month - 1, date + 1).getTime() - 1,
  }
}

/** The local calendar day of a moment in milliseconds. */
export function dayOf(stamp: number): string {
  const date = new Date(stamp)
  const two = (n: number) => String(n).padStart(2, '0')
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`
}

/**
 * Sums up a day.
 *
 * @param records of the day and the hour after it, with every amendment to them, in the log's order
 */
export function summariseDay(day: string, records: readonly LogRecord[]): DaySummary {
  const summary: DaySummary = {
    day,
    at: [],
    seconds: [],
    opens: [],
    closes: [],
    notch: [],
    coffee: [],
    grinder: [],
    person: [],
    recipe: [],
    recipes: [],
    outcome: [],
    margin: [],
    refused: [],
    moves: [],
  }
  const { from, to } = dayBounds(day)
  const places = new Map<string, number>()
  let grinder = 0
  for (const record of effective(records)) {
    const { entry, device } = record
    const time = timeOf(record)
    const today = time >= from && time <= to
    switch (entry.kind) {
      case 'shift opened':
      case 'grinder chosen':
        grinder = entry.grinder
        break
      case 'grind moved':
        if (!today) break
        summary.moves.push({ at: entry.at, notches: entry.notches, notch: entry.notch, grinder })
        break
      case 'shot': {
        if (!today || entry.practice) break
        grinder = entry.grinder
        if (!summary.recipes.includes(entry.recipe)) summary.recipes.push(entry.recipe)
        places.set(`${device} ${entry.shot}`, summary.at.length)
        summary.at.push(entry.at)
        summary.seconds.push(entry.seconds)
        summary.opens.push(entry.windowOpens)
        summary.closes.push(entry.windowCloses)
        summary.notch.push(entry.notch)
        summary.coffee.push(entry.coffee)
        summary.grinder.push(entry.grinder)
        summary.person.push(entry.person ?? 0)
        summary.recipe.push(summary.recipes.indexOf(entry.recipe))
        summary.outcome.push(0)
        summary.margin.push(0)
        summary.refused.push(0)
        break
      }
      case 'judged': {
        const place = places.get(`${device} ${entry.shot}`)
        if (place !== undefined) summary.refused[place] = entry.serve ? 0 : 1
        break
      }
      case 'hand-off': {
        const place = places.get(`${device} ${entry.shot}`)
        if (place === undefined) break
        summary.outcome[place] = outcomes.indexOf(entry.outcome)
        summary.margin[place] = entry.margin
        break
      }
      default:
    }
  }
  return summary
}

/** A day in a few numbers. */
export interface DayFigures {
  day: string
  shots: number
  inWindow: number
  /** sum of the sizes of all moves */
  notchesMoved: number
  expired: number
  discarded: number
  /** median time of the shots, seconds; `null` without shots */
  medianSeconds: number | null
}

/** A day's figures. */
export function dayFigures(summary: DaySummary): DayFigures {
  const { seconds, opens, closes, outcome } = summary
  const inWindow = seconds.filter((time, i) =>
    isInWindow({ seconds: time, windowOpens: opens[i] ?? 0, windowCloses: closes[i] ?? 0 }),
  )
  return {
    day: summary.day,
    shots: seconds.length,
    inWindow: inWindow.length,
    notchesMoved: summary.moves.reduce((sum, move) => sum + Math.abs(move.notches), 0),
    expired: outcome.filter((each) => outcomes[each] === 'expired').length,
    discarded: outcome.filter((each) => outcomes[each] === 'discarded').length,
    medianSeconds: median(seconds),
  }
}

/** The middle of some numbers, or the mean of the middle two; `null` of none. */
function median(numbers: readonly number[]): number | null {
  const sorted = numbers.toSorted((a, b) => a - b)
  const middle = (sorted.length - 1) / 2
  const low = sorted[Math.floor(middle)]
  const high = sorted[Math.ceil(middle)]
  return low === undefined || high === undefined ? null : (low + high) / 2
}
