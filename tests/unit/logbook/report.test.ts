import { describe, expect, test } from 'vitest'
import { createBench, pullShot, standardRecipes } from '../../../src/coffee/index.ts'
import { shiftReport } from '../../../src/logbook/report.ts'
import { longSeries, shiftSeries } from '../../../src/logbook/series.ts'
import { dayFigures, summariseDay, dayOf } from '../../../src/logbook/daySummary.ts'
import { shotRows } from '../../../src/logbook/shotRows.ts'
import { double, morning, recordsOf } from './makeRecords.ts'

const shift = recordsOf([
  { kind: 'shift opened', coffee: 1, grinder: 1, recipe: 'double' },
  double('a', 12, { notch: 10 }),
  { kind: 'judged', shot: 'a', looks: ['gushing'], tastes: ['sour'], action: 'finer', serve: true },
  { kind: 'hand-off', shot: 'a', outcome: 'discarded', margin: 2 },
  { kind: 'grind moved', notches: 2, notch: 12, advised: 1 },
  { kind: 'purged' },
  double('p', 8, { notch: 12, practice: true }),
  double('b', 16, { notch: 12 }),
  { kind: 'hand-off', shot: 'b', outcome: 'expired', margin: -1 },
  { kind: 'grind moved', notches: -1, notch: 11, advised: null },
  double('c', 17, { notch: 11 }),
  { kind: 'hand-off', shot: 'c', outcome: 'served', into: 'milk', margin: 4.5 },
  double('d', 22, { notch: 11 }),
  { kind: 'judged', shot: 'd', looks: ['no crema'], tastes: [], action: 'do not serve', serve: false },
  double('e', 22.001, { notch: 11 }),
])

describe('the shift report', () => {
  test('counts as one would with a pencil', () => {
    const report = shiftReport(shift)
    expect(report).toMatchObject({
      from: morning,
      to: morning + 14,
      shots: 5,
      inWindow: 2,
      firstHit: 3,
      moves: 2,
      notchesMoved: 3,
      served: 1,
      expired: 1,
      discarded: 1,
      wasted: 3,
      practice: 1,
    })
    expect(report.said.slice(0, 4)).toEqual([
      { sentence: 'report.shots', values: { shots: 5, hits: 2 } },
      { sentence: 'report.first-hit', values: { shots: 3 } },
      { sentence: 'report.moves', values: { notches: 3 } },
      { sentence: 'report.waste', values: { wasted: 3, expired: 1, discarded: 1 } },
    ])
  })

  test('of an empty shift says so', () => {
    expect(shiftReport([])).toMatchObject({
      shots: 0,
      firstHit: null,
      next: null,
      said: [{ sentence: 'report.none' }],
    })
  })

  test('tells a creep of the grind, and none where there is none', () => {
    const creeping = (perShot: number) =>
      recordsOf(
        Array.from({ length: 60 }, (_, i) =>
          double(`s${i}`, 19 * Math.exp(perShot * i) * (1 + (i % 2 === 0 ? 0.01 : -0.01)), {
            at: morning + 120 * i,
          }),
        ),
      )
    const slower = shiftReport(creeping(0.005))
    expect(slower.drift.direction).toBe('slower')
    // exp(0.005 x 59) - 1 is 34 %; part of it the model lays to the warm burrs
    expect(slower.drift.percent?.mean).toBeGreaterThan(5)
    expect(shiftReport(creeping(0)).drift.direction).toBe('steady')
    // a grind that crept slower wants a coarser start
    expect(slower.next?.notches).toBeLessThan(0)
    expect(slower.said.at(-1)?.sentence).toBe('report.advice.coarser')
  })

  test("its advice for the next shift improves the simulated bench's first shot", () => {
    let bench = createBench(7)
    const shots = Array.from({ length: 12 }, (_, i) => {
      const notch = 10 + Math.floor(i / 4)
      const pulled = pullShot(bench, { notch, recipe: standardRecipes.double, at: 180 * i })
      bench = pulled.bench
      return double(`s${i}`, pulled.shot.seconds, { notch, at: morning + 180 * i })
    })
    const { next } = shiftReport(recordsOf(shots))
    if (!next) throw new Error('no advice')
    const at = 86_400
    const first = (notch: number) =>
      pullShot(bench, { notch, recipe: standardRecipes.double, at }).shot.seconds
    const off = (seconds: number) => Math.abs(Math.log(seconds / 19.5))
    expect(off(first(next.notch))).toBeLessThan(off(first(12)))
  })
})

describe('the charts of a shift', () => {
  const series = shiftSeries(shift)

  test('show shots with their window, notch steps and margins', () => {
    expect(series.shots.seconds).toEqual([12, 16, 17, 22, 22.001])
    expect(series.shots.inWindow).toEqual([false, false, true, true, false])
    expect(series.shots.opens).toEqual([17, 17, 17, 17, 17])
    expect(series.notch.notch).toEqual([10, 12, 12, 12, 11, 11, 11, 11])
    expect(series.margins.margin).toEqual([2, -1, 4.5])
    expect(series.drift.at).toHaveLength(6)
    expect(
      series.drift.percent.every(
        (mean, i) => mean >= (series.drift.low[i] ?? NaN) && mean <= (series.drift.high[i] ?? NaN),
      ),
    ).toBe(true)
  })

  test('draw control limits only where there are enough shots at one setting', () => {
    expect(series.control.centre.every((each) => each === null)).toBe(true)
    // ln(time) of NIST/SEMATECH e-Handbook 6.3.2.2: flow rates 49.6 ... 52.0; centre 49.47 +- 4.89 (from its text)
    const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    const control = shiftSeries(
      recordsOf(flow.map((rate, i) => double(`s${i}`, Math.exp(rate / 20)))),
    ).control
    // mean 50.81, mean moving range 1.8778: limits mean +- 3 x 1.8778 / 1.128 (NIST's own numbers for this example)
    expect(20 * Math.log(control.centre[0] ?? NaN)).toBeCloseTo(50.81, 2)
    expect(20 * Math.log(control.upper[0] ?? NaN)).toBeCloseTo(55.8041, 2)
    expect(20 * Math.log(control.lower[0] ?? NaN)).toBeCloseTo(45.8159, 2)
  })

  test('are there to read as rows', () => {
    expect(
      shotRows(shift).map((row) => [row.number, row.verdict, row.outcome, row.action, row.practice]),
    ).toEqual([
      [1, 'fast', 'discarded', 'finer', false],
      [2, 'fast', null, null, true],
      [3, 'fast', 'expired', null, false],
      [4, 'in window', 'served', null, false],
      [5, 'in window', null, 'do not serve', false],
      [6, 'slow', null, null, false],
    ])
  })

  test('over days agree with the report', () => {
    const day = dayOf(morning * 1000)
    const summary = summariseDay(day, shift)
    const report = shiftReport(shift)
    const figures = dayFigures(summary)
    expect(figures).toMatchObject({
      shots: report.shots,
      inWindow: report.inWindow,
      notchesMoved: report.notchesMoved,
      expired: report.expired,
      discarded: report.discarded,
      medianSeconds: 17,
    })
    const long = longSeries([summary])
    expect(long.shots.seconds).toEqual(series.shots.seconds)
    expect(long.margins.margin).toEqual(series.margins.margin)
    expect(long.days.share).toEqual([0.4])
  })
})
