import { individualsChart, summarise } from '../coffee/index.ts'
import { dayFigures, outcomes, type DaySummary } from './daySummary.ts'
import { effective, isInWindow, type Shot } from './effective.ts'
import { followGrinder } from './followGrinder.ts'
import type { LogRecord } from './record.ts'

/**
 * Columns for the charts. Every series has its points in order of time, `at` in bar-clock seconds, and one number or
 * `null` a point in each other column: the shape that charting libraries take.
 */
interface ShotSeries {
  at: number[]
  /** times of the shots, seconds */
  seconds: number[]
  /** the window of each shot's recipe, seconds */
  opens: number[]
  closes: number[]
  inWindow: boolean[]
}

interface NotchSeries {
  at: number[]
  /** where the grinder stood from then on: to be drawn as steps */
  notch: number[]
}

interface DriftSeries {
  at: number[]
  /** change of a shot's time at one setting since the start, percent, and its 90 % interval */
  percent: number[]
  low: number[]
  high: number[]
}

interface ControlSeries {
  at: number[]
  seconds: number[]
  /** mean and control limits of the stretch at one setting; `null` for a stretch of fewer than four shots */
  centre: (number | null)[]
  lower: (number | null)[]
  upper: (number | null)[]
}

interface MarginSeries {
  at: number[]
  /** seconds left of the hand-off limit; negative when late */
  margin: number[]
}

export interface ShiftSeries {
  shots: ShotSeries
  notch: NotchSeries
  drift: DriftSeries
  control: ControlSeries
  margins: MarginSeries
}

/** A shift's charts. @param records of the shift, as the log gives them */
export function shiftSeries(records: readonly LogRecord[]): ShiftSeries {
  const holds = effective(records)
  const shots = holds.flatMap(({ entry }) => (entry.kind === 'shot' && !entry.practice ? [entry] : []))
  return {
    shots: shotSeries(shots),
    notch: notchSeries(holds),
    drift: driftSeries(holds),
    control: controlSeries(shots),
    margins: marginSeries(holds),
  }
}

function shotSeries(shots: readonly Shot[]): ShotSeries {
  return {
    at: shots.map((shot) => shot.at),
    seconds: shots.map((shot) => shot.seconds),
    opens: shots.map((shot) => shot.windowOpens),
    closes: shots.map((shot) => shot.windowCloses),
    inWindow: shots.map(isInWindow),
  }
}

/** Starts where the grinder stood at the first shot, and ends with the last entry. */
function notchSeries(holds: readonly LogRecord[]): NotchSeries {
  const series: NotchSeries = { at: [], notch: [] }
  for (const { entry } of holds) {
    if (entry.kind !== 'shot' && entry.kind !== 'grind moved') continue
    if (series.at.length === 0 && entry.kind === 'grind moved') {
      series.at.push(entry.at)
      series.notch.push(entry.notch - entry.notches)
    }
    series.at.push(entry.at)
    series.notch.push(entry.notch)
  }
  return series
}

function driftSeries(holds: readonly LogRecord[]): DriftSeries {
  const points = followGrinder(holds).map(({ shot, belief }) => ({
    at: shot.at,
    ...summarise(belief).driftPercent,
  }))
  return {
    at: points.map((point) => point.at),
    percent: points.map((point) => point.mean),
    low: points.map((point) => point.low),
    high: points.map((point) => point.high),
  }
}

/** Fewest shots at one setting for which limits are drawn; with fewer they say next to nothing. */
const fewestForLimits = 4

/** Individuals chart of ln(time) for each stretch at one setting of one grinder, coffee and recipe, told in seconds. */
function controlSeries(shots: readonly Shot[]): ControlSeries {
  const series: ControlSeries = { at: [], seconds: [], centre: [], lower: [], upper: [] }
  const positive = shots.filter((shot) => shot.seconds > 0)
  let stretch: Shot[] = []
  const finish = () => {
    const chart =
      stretch.length < fewestForLimits
        ? null
        : individualsChart(stretch.map((shot) => Math.log(shot.seconds)))
    for (const shot of stretch) {
      series.at.push(shot.at)
      series.seconds.push(shot.seconds)
      series.centre.push(chart && Math.exp(chart.centre))
      series.lower.push(chart && Math.exp(chart.lower))
      series.upper.push(chart && Math.exp(chart.upper))
    }
  }
  const setting = ({ notch, grinder, coffee, recipe }: Shot) =>
    JSON.stringify([notch, grinder, coffee, recipe])
  for (const shot of positive) {
    const before = stretch.at(-1)
    if (before && setting(before) !== setting(shot)) {
      finish()
      stretch = []
    }
    stretch.push(shot)
  }
  finish()
  return series
}

function marginSeries(holds: readonly LogRecord[]): MarginSeries {
  const told = holds.flatMap(({ entry }) => (entry.kind === 'hand-off' ? [entry] : []))
  return { at: told.map((entry) => entry.at), margin: told.map((entry) => entry.margin) }
}

/** Weeks, months or a year: every shot, and each day's figures. */
export interface LongSeries {
  shots: ShotSeries & { notch: number[]; coffee: number[]; grinder: number[] }
  margins: MarginSeries
  days: {
    day: string[]
    shots: number[]
    /** part of the day's shots that was in the window, 0 to 1; `null` on a day without shots */
    share: (number | null)[]
    medianSeconds: (number | null)[]
    wasted: number[]
  }
}

/** Charts over many days. @param summaries in order of their days, from `Days.summaries` */
export function longSeries(summaries: readonly DaySummary[]): LongSeries {
  const figures = summaries.map(dayFigures)
  const all = (column: 'at' | 'seconds' | 'opens' | 'closes' | 'notch' | 'coffee' | 'grinder') =>
    summaries.flatMap((day) => day[column])
  const told = summaries.map((day) => day.outcome.map((outcome) => outcomes[outcome] !== 'not told'))
  const seconds = all('seconds')
  const opens = all('opens')
  const closes = all('closes')
  return {
    shots: {
      at: all('at'),
      seconds,
      opens,
      closes,
      inWindow: seconds.map((time, i) =>
        isInWindow({ seconds: time, windowOpens: opens[i] ?? 0, windowCloses: closes[i] ?? 0 }),
      ),
      notch: all('notch'),
      coffee: all('coffee'),
      grinder: all('grinder'),
    },
    margins: {
      at: summaries.flatMap((day, d) => day.at.filter((_, i) => told[d]?.[i])),
      margin: summaries.flatMap((day, d) => day.margin.filter((_, i) => told[d]?.[i])),
    },
    days: {
      day: figures.map((day) => day.day),
      shots: figures.map((day) => day.shots),
      share: figures.map((day) => (day.shots === 0 ? null : day.inWindow / day.shots)),
      medianSeconds: figures.map((day) => day.medianSeconds),
      wasted: figures.map((day) => day.expired + day.discarded),
    },
  }
}
