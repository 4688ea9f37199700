import { describe, expect, it } from 'vitest'
import {
  cusumNext,
  ewmaDeviation,
  ewmaNext,
  individualsChart,
  type Cusum,
} from '../../../src/coffee/controlChart.ts'
import { randomFrom } from '../../../src/coffee/random.ts'

describe('worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods', () => {
  it('6.3.2.2, individuals and moving range: ten batches of a flow rate', () => {
    const chart = individualsChart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    expect(chart.centre.toFixed(2)).toBe('50.81')
    expect(chart.meanRange.toFixed(4)).toBe('1.8778')
    expect(chart.upper.toFixed(4)).toBe('55.8041')
    // printed 45.8159 (exactly 45.81591)
    expect(chart.lower.toFixed(4)).toBe('45.8159')
  })

  it('6.3.2.3, CUSUM: target 325, k 0.3175, h 4.1959', () => {
    const values = [
      324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15,
      328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
    ]
    const high = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04]
    const low = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0]
    let sums: Cusum = { high: 0, low: 0 }
    const signals: number[] = []
    values.forEach((value, index) => {
      sums = cusumNext(sums, value, 325, 0.3175)
      // half a unit in the last printed place, and a hair for halves that the page rounds down
      expect(Math.abs(sums.high - high[index]!)).toBeLessThanOrEqual(0.005 + 1e-9)
      expect(Math.abs(sums.low - low[index]!)).toBeLessThanOrEqual(0.005 + 1e-9)
      if (sums.high > 4.1959 || sums.low > 4.1959) signals.push(index + 1)
    })
    expect(signals[0]).toBe(14)
  })

  it('6.3.2.4, EWMA: target 50, s 2.0539, weight 0.3', () => {
    const values = [
      52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6,
      52.4, 53.6, 52.1,
    ]
    const printed = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
      49.92, 50.73, 51.23, 51.94, 51.99,
    ]
    let ewma = 50
    values.forEach((value, index) => {
      ewma = ewmaNext(ewma, value, 0.3)
      expect(Math.abs(ewma - printed[index]!)).toBeLessThanOrEqual(0.005 + 1e-9)
    })
    // printed limits 52.5884 and 47.4115, from a factor rounded to 0.4201
    expect(ewmaDeviation(0.3).toFixed(4)).toBe('0.4201')
    const factor = Number(ewmaDeviation(0.3).toFixed(4))
    expect(Math.abs(50 + 3 * factor * 2.0539 - 52.5884)).toBeLessThan(2e-4)
    expect(Math.abs(50 - 3 * factor * 2.0539 - 47.4115)).toBeLessThan(2e-4)
  })

  it('starts an EWMA narrower than it ends', () => {
    // variance of the first EWMA is weight^2
    expect(ewmaDeviation(0.3, 1)).toBeCloseTo(0.3, 12)
    expect(ewmaDeviation(0.3, 50)).toBeCloseTo(ewmaDeviation(0.3), 8)
  })

  it('refuses too little or impossible data', () => {
    expect(() => individualsChart([1])).toThrow('number of measurements must be from 2')
    expect(() => individualsChart([1, NaN])).toThrow('not NaN')
  })
})

/** Mean of many run lengths, with its standard error. */
function runLength(runs: number, seed: number, signalled: (normal: () => number) => () => boolean) {
  const { normal } = randomFrom(seed)
  let sum = 0
  let squares = 0
  for (let run = 0; run < runs; run += 1) {
    const next = signalled(normal)
    let length = 1
    while (!next()) length += 1
    sum += length
    squares += length * length
  }
  const mean = sum / runs
  return { mean, error: Math.sqrt((squares / runs - mean * mean) / runs) }
}

const digits = (published: number): number => (published >= 100 ? 0.5 : published >= 10 ? 0.05 : 0.005)

describe('average run lengths by simulation', () => {
  // Lucas and Saccucci, "Exponentially weighted moving average control schemes", Technometrics 32 (1990), table 3
  it.each([
    [0.5, 3.071, 0, 500],
    [0.5, 3.071, 0.5, 88.8],
    [0.5, 3.071, 1, 17.5],
    [0.5, 3.071, 2, 3.63],
    [0.03, 2.437, 0, 500],
    [0.03, 2.437, 0.25, 76.7],
    [0.03, 2.437, 0.5, 29.3],
    [0.03, 2.437, 1, 12.6],
    [0.03, 2.437, 3, 4.03],
  ])('EWMA weight %s, limit %s, shift %s', (weight, limit, shift, published) => {
    const edge = limit * ewmaDeviation(weight)
    const { mean, error } = runLength(3000, 11, (normal) => {
      let ewma = 0
      return () => {
        ewma = ewmaNext(ewma, normal() + shift, weight)
        return Math.abs(ewma) > edge
      }
    })
    expect(Math.abs(mean - published)).toBeLessThan(4 * error + digits(published))
  })

  // Lucas and Crosier, "Fast initial response for CUSUM quality-control schemes", Technometrics 24 (1982), table 1:
  // two-sided, k 0.5, h 4, without and with a head start of h / 2
  it.each([
    [0, 168, 149],
    [0.25, 74.2, 62.7],
    [0.5, 26.6, 20.1],
    [1, 8.38, 5.29],
    [2, 3.34, 2.01],
    [3, 2.19, 1.32],
  ])('CUSUM, shift %s', (shift, published, withHeadStart) => {
    for (const [start, value] of [
      [0, published],
      [2, withHeadStart],
    ] as const) {
      const { mean, error } = runLength(4000, 12, (normal) => {
        let sums: Cusum = { high: start, low: start }
        return () => {
          sums = cusumNext(sums, normal() + shift, 0, 0.5)
          return sums.high > 4 || sums.low > 4
        }
      })
      expect(Math.abs(mean - value)).toBeLessThan(4 * error + digits(value))
    }
  })
})
