import type uPlot from 'uplot'
import type { ShiftSeries } from '../../logbook/index.ts'

/** A chart without its words and colours. */
export interface ChartPlan {
  name: 'shots' | 'notch' | 'drift' | 'margins'
  data: uPlot.AlignedData
  /** one for each column of the data after the first */
  lines: readonly Line[]
  /** pairs of columns between which a band is hatched */
  band?: [number, number]
  /** draw a line at zero */
  zero?: boolean
}

export type Line = 'filled points' | 'hollow points' | 'steps' | 'line' | 'dashes' | 'edge'

/** The four charts of a shift. A chart without points is left out. */
export function chartsOf({ shots, notch, drift, control, margins }: ShiftSeries): ChartPlan[] {
  const plans: ChartPlan[] = [
    {
      name: 'shots',
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
    { name: 'notch', data: [notch.at, notch.notch], lines: ['steps'] },
    {
      name: 'drift',
      data: [drift.at, drift.low, drift.high, drift.percent],
      lines: ['edge', 'edge', 'line'],
      band: [2, 1],
      zero: true,
    },
    { name: 'margins', data: [margins.at, margins.margin], lines: ['filled points'], zero: true },
  ]
  return plans.filter(({ data }) => data[0].length > 0)
}

/** Lower limit, mean and upper limit at the times of the shots; a shot of which no limits are known has `null`. */
function limitsAt({ at, lower, centre, upper }: ShiftSeries['control'], times: readonly number[]) {
  const place = new Map(at.map((time, i) => [time, i]))
  return [lower, centre, upper].map((column) => times.map((time) => column[place.get(time) ?? -1] ?? null))
}

/** Least and greatest value of a chart's points, for those who cannot see it. */
export function extent({ data }: ChartPlan): { low: number; high: number } {
  const values = data.slice(1).flatMap((column) => [...(column as (number | null)[])].filter(isNumber))
  return { low: Math.min(...values), high: Math.max(...values) }
}

const isNumber = (value: number | null): value is number => value !== null
