import type uPlot from 'uplot'
import type { History, ShiftSeries } from '../../logbook/index.ts'

/** A chart without its words and colours. */
export interface ChartPlan {
  name:
    | 'shots'
    | 'notch'
    | 'drift'
    | 'margins'
    | 'history.share'
    | 'history.firstHit'
    | 'history.wasted'
    | 'history.drift'
    | 'history.notch'
  /** what the axis across counts: moments of a day (bar-clock seconds), days (seconds at midnight), hours from midnight */
  across: 'moment' | 'day' | 'hour'
  unit: 'seconds' | 'notch' | 'percent' | 'shots'
  data: uPlot.AlignedData
  /** one for each column of the data after the first */
  lines: readonly Line[]
  /** pairs of columns between which a band is hatched */
  band?: [number, number]
  /** draw a line at zero */
  zero?: boolean
}

export type Line = 'filled points' | 'hollow points' | 'steps' | 'line' | 'dashes' | 'edge' | 'bars'

/** The four charts of a shift. A chart without points is left out. */
export function chartsOf({ shots: pulled, notch, drift, control, margins }: ShiftSeries): ChartPlan[] {
  const shots = withRoom(pulled)
  const plans: ChartPlan[] = [
    {
      name: 'shots',
      across: 'moment',
      unit: 'seconds',
      data: [
        shots.at,
        shots.opens,
        shots.closes,
        ...limitsAt(control, shots.at),
        shots.seconds.map((value, i) => (shots.inWindow[i] ? value : null)),
        shots.seconds.map((value, i) => (shots.inWindow[i] ? null : value)),
      ],
      lines: ['edge', 'edge', 'dashes', 'dashes', 'dashes', 'filled points', 'hollow points'],
      band: [2, 1],
    },
    { name: 'notch', across: 'moment', unit: 'notch', data: [notch.at, notch.notch], lines: ['steps'] },
    {
      name: 'drift',
      across: 'moment',
      unit: 'percent',
      data: [drift.at, drift.low, drift.high, drift.percent],
      lines: ['edge', 'edge', 'line'],
      band: [2, 1],
      zero: true,
    },
    {
      name: 'margins',
      across: 'moment',
      unit: 'seconds',
      data: [margins.at, margins.margin],
      lines: ['filled points'],
      zero: true,
    },
  ]
  return plans.filter(hasPoints)
}

/** The charts of many days. A chart without points is left out. */
export function historyCharts({ days, drift }: History): ChartPlan[] {
  const at = days.map((one) => one.at)
  const plans: ChartPlan[] = [
    {
      name: 'history.share',
      across: 'day',
      unit: 'percent',
      data: [at, days.map(({ shots, inWindow }) => (100 * inWindow) / shots)],
      lines: ['line'],
    },
    {
      name: 'history.firstHit',
      across: 'day',
      unit: 'shots',
      data: [at, days.map(({ firstHit }) => firstHit)],
      lines: ['bars'],
    },
    {
      name: 'history.wasted',
      across: 'day',
      unit: 'shots',
      data: [at, days.map(({ wasted }) => wasted)],
      lines: ['bars'],
    },
    {
      name: 'history.drift',
      across: 'hour',
      unit: 'percent',
      data: [drift.hour, drift.percent],
      lines: ['line'],
      zero: true,
    },
    {
      name: 'history.notch',
      across: 'day',
      unit: 'notch',
      data: [at, days.map(({ notch }) => notch)],
      lines: ['steps'],
    },
  ]
  return plans.filter(hasPoints)
}

/** One shot alone has a window too: it is drawn from before to after it, as a line needs two ends. */
function withRoom(shots: ShiftSeries['shots']): ShiftSeries['shots'] | WithRoom {
  const [at] = shots.at
  if (at === undefined || shots.at.length > 1) return shots
  const thrice = <T>(values: readonly T[]) => [...values, ...values, ...values]
  return {
    at: [at - leastAcross.moment / 2, at, at + leastAcross.moment / 2],
    opens: thrice(shots.opens),
    closes: thrice(shots.closes),
    seconds: [null, ...shots.seconds, null],
    inWindow: thrice(shots.inWindow),
  }
}
type WithRoom = Omit<ShiftSeries['shots'], 'seconds'> & { seconds: (number | null)[] }

/** How many points a chart has, without those of a window's edges. */
export function pointsOf({ data, lines }: Pick<ChartPlan, 'data' | 'lines'>): number {
  const columns = data.slice(1).filter((_, i) => lines[i] !== 'edge')
  return data[0].filter((_, i) => columns.some((column) => typeof column[i] === 'number')).length
}

const hasPoints = ({ data }: ChartPlan) => data[0].length > 0

/** Lower limit, mean and upper limit at the times of the shots; a shot of which no limits are known has `null`. */
function limitsAt({ at, lower, centre, upper }: ShiftSeries['control'], times: readonly number[]) {
  const place = new Map(at.map((time, i) => [time, i]))
  return [lower, centre, upper].map((column) => times.map((time) => column[place.get(time) ?? -1] ?? null))
}

/** Least and greatest value of a chart's points, for those who cannot see it; zeros when it has none. */
export function extent({ data }: Pick<ChartPlan, 'data'>): { low: number; high: number } {
  const values = data.slice(1).flatMap((column) => [...(column as (number | null)[])].filter(isNumber))
  return values.length > 0 ? { low: Math.min(...values), high: Math.max(...values) } : { low: 0, high: 0 }
}

const isNumber = (value: number | null): value is number => value !== null

const hour = 3600
const day = 24 * hour
/** How far an axis reaches at least, so that the first point stands in the middle of something that can be read. */
const leastAcross = { moment: hour / 3, day: 7 * day, hour: 6 }

/** From where to where the axis across reaches. */
export function rangeAcross({ data, across }: Pick<ChartPlan, 'data' | 'across'>): [number, number] {
  const low = data[0][0] ?? 0
  const high = data[0].at(-1) ?? low
  const room = across === 'day' ? 0.6 * day : 0.03 * (high - low)
  const more = Math.max(0, leastAcross[across] - (high - low) - 2 * room) / 2
  return [low - room - more, high + room + more]
}

/** Between which values the axis upward reaches. Shares are shown whole, counts from zero. */
export function rangeUp({ data, unit, name, zero }: Omit<ChartPlan, 'lines' | 'across'>): [number, number] {
  if (name === 'history.share') return [0, 100]
  const { low, high } = extent({ data })
  if (unit === 'shots') return [0, Math.max(2, high + 1)]
  const room = unit === 'notch' ? 1 : Math.max(1, 0.1 * (high - low))
  return [
    Math.floor((zero ? Math.min(0, low) : low) - room),
    Math.ceil((zero ? Math.max(0, high) : high) + room),
  ]
}

/** Between two marks of the axis across, in its own unit: whole minutes, whole days, whole hours. */
export const stepsAcross: Readonly<Record<ChartPlan['across'], readonly number[]>> = {
  moment: [60, 120, 300, 600, 900, 1800, hour, 2 * hour, 3 * hour, 6 * hour, 12 * hour, day],
  day: [1, 2, 7, 14, 28, 91, 182, 364].map((days) => days * day),
  hour: [1, 2, 3, 4, 6, 12],
}

/** Between two marks of the axis upward. There is no half shot. */
export const stepsUp: Readonly<Record<ChartPlan['unit'], readonly number[]>> = {
  seconds: [1, 2, 5, 10, 20, 50, 100],
  notch: [0.5, 1, 2, 5, 10, 20, 50],
  percent: [1, 2, 5, 10, 20, 25, 50, 100, 200],
  shots: [1, 2, 5, 10, 20, 50, 100],
}
