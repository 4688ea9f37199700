import { inverse, Matrix, solve } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import {
  absorb,
  blend,
  cutBelow,
  independent,
  merge,
  project,
  type Gaussian,
} from '../../../src/coffee/gaussian.ts'
import { mixtureBelow, mixtureQuantile, normalBelow, normalDensity } from '../../../src/coffee/normal.ts'
import { randomFrom } from '../../../src/coffee/random.ts'

/** The update by one measurement that came about in one way. */
const condition = (known: Gaussian, weights: readonly number[], measured: number, noise: number): Gaussian =>
  absorb(known, measured, [{ chance: 1, weights, shift: 0, noise }]).state

/** Digits of `value` that agree with a certified one: the log relative error used with the NIST datasets. */
const agreement = (value: number, certified: number): number =>
  -Math.log10(Math.abs(value - certified) / Math.abs(certified))

/**
 * Ordinary least squares by the filter: a wide prior, unit noise, one line of data at a time; then once more with the
 * prior around the first answer, which takes away its pull. Columns should be near 1 in size.
 */
function regress(rows: readonly (readonly number[])[], values: readonly number[]) {
  const pass = (start: readonly number[]): Gaussian =>
    rows.reduce<Gaussian>(
      (known, row, index) => condition(known, row, values[index]!, 1),
      independent(start.map((mean) => ({ mean, deviation: 1e4 }))),
    )
  const fit = pass(pass(rows[0]!.map(() => 0)).mean)
  const squares = rows.reduce((sum, row, index) => sum + (values[index]! - project(fit, row).mean) ** 2, 0)
  const residual = Math.sqrt(squares / (rows.length - rows[0]!.length))
  const errors = fit.mean.map(
    (_, index) => residual * Math.sqrt(fit.covariance[index * (fit.mean.length + 1)]!),
  )
  return { fit, errors, residual }
}

describe('the regression core', () => {
  // NIST Statistical Reference Datasets, linear regression, Norris (lower level of difficulty):
  // 36 calibrations of ozone monitors; data and certified values as published. Ozone is put in here in thousands.
  it('meets the certified values of Norris', () => {
    const x = [
      0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
      447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1,
      118.3, 229.2, 669.1, 448.9, 0.5,
    ]
    const y = [
      0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
      448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2,
      117.6, 228.9, 668.4, 449.2, 0.2,
    ]
    const { fit, errors, residual } = regress(
      x.map((value) => [1, value / 1000]),
      y,
    )
    expect(agreement(fit.mean[0]!, -0.262323073774029)).toBeGreaterThan(12)
    expect(agreement(fit.mean[1]! / 1000, 1.00211681802045)).toBeGreaterThan(12)
    expect(agreement(errors[0]!, 0.232818234301152)).toBeGreaterThan(8)
    expect(agreement(errors[1]! / 1000, 0.429796848199937e-3)).toBeGreaterThan(8)
    expect(agreement(residual, 0.884796396144373)).toBeGreaterThan(12)
  })

  // NIST Statistical Reference Datasets, linear regression, Pontius (lower level of difficulty): a parabola through
  // 40 calibrations of load cells. Load is put in here in millions, so the certified values are scaled with it.
  it('meets the certified values of Pontius', () => {
    const y = [
      0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001,
      1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018,
      0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818, 1.41613, 1.52408,
      1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ]
    const rows = y.map((_, index) => {
      const load = 0.15 * ((index % 20) + 1)
      return [1, load, load * load]
    })
    const { fit, errors, residual } = regress(rows, y)
    expect(agreement(fit.mean[0]!, 0.673565789473684e-3)).toBeGreaterThan(12)
    expect(agreement(fit.mean[1]! / 1e6, 0.732059160401003e-6)).toBeGreaterThan(12)
    expect(agreement(fit.mean[2]! / 1e12, -0.316081871345029e-14)).toBeGreaterThan(12)
    expect(agreement(errors[0]!, 0.107938612033077e-3)).toBeGreaterThan(8)
    expect(agreement(errors[1]! / 1e6, 0.157817399981659e-9)).toBeGreaterThan(8)
    expect(agreement(errors[2]! / 1e12, 0.486652849992036e-16)).toBeGreaterThan(8)
    expect(agreement(residual, 0.205177424076185e-3)).toBeGreaterThan(12)
  })

  it('agrees with the normal equations of a general library on random data', () => {
    const random = randomFrom(5)
    const rows = Array.from({ length: 30 }, () => [1, random.normal(), random.normal(), random.normal()])
    const values = rows.map(() => random.normal())
    const prior = independent([1, 2, 3, 4].map((deviation) => ({ mean: deviation / 10, deviation })))
    const filtered = rows.reduce<Gaussian>(
      (known, row, index) => condition(known, row, values[index]!, 0.3),
      prior,
    )
    const X = new Matrix(rows)
    const precision = Matrix.diag([1, 2, 3, 4].map((deviation) => deviation ** -2))
    const information = X.transpose().mmul(X).div(0.3).add(precision)
    const right = X.transpose()
      .mmul(Matrix.columnVector(values))
      .div(0.3)
      .add(precision.mmul(Matrix.columnVector([0.1, 0.2, 0.3, 0.4])))
    const batch = solve(information, right).to1DArray()
    const covariance = solve(information, Matrix.eye(4)).to2DArray()
    batch.forEach((value, index) => expect(filtered.mean[index]).toBeCloseTo(value, 12))
    covariance.forEach((row, i) =>
      row.forEach((value, j) => expect(filtered.covariance[4 * i + j]).toBeCloseTo(value, 12)),
    )
  })
})

describe('a measurement that may have come about in several ways', () => {
  it('leaves the mixture of the exact updates of each', () => {
    const random = randomFrom(9)
    const size = 3
    const root = Array.from({ length: size }, () => Array.from({ length: size }, () => random.normal()))
    const prior: Gaussian = {
      mean: [0.4, -0.2, 0.1],
      covariance: new Matrix(root).mmul(new Matrix(root).transpose()).to1DArray(),
    }
    const ways = [
      { chance: 0.7, weights: [1, 0.5, 1], shift: 0, noise: 0.04 },
      { chance: 0.2, weights: [1, 0.5, 1], shift: -0.3, noise: 0.1 },
      { chance: 0.1, weights: [1, 0.2, 1], shift: 0, noise: 0.04, jump: { index: 2, variance: 0.3 } },
    ]
    const measured = 0.9
    const each = ways.map(({ chance, weights, shift, noise, jump }) => {
      const covariance = new Matrix([0, 1, 2].map((row) => prior.covariance.slice(3 * row, 3 * row + 3)))
      if (jump) covariance.set(jump.index, jump.index, covariance.get(jump.index, jump.index) + jump.variance)
      const row = Matrix.rowVector(weights)
      const spread = covariance.mmul(row.transpose())
      const total = row.mmul(spread).get(0, 0) + noise
      const off = measured - shift - row.mmul(Matrix.columnVector(prior.mean)).get(0, 0)
      // by precisions: (P^-1 + h h' / r)^-1, solved by a general library
      const after = inverse(inverse(covariance).add(row.transpose().mmul(row).div(noise)))
      const mean = Matrix.columnVector(prior.mean).add(spread.mul(off / total))
      return {
        weight: (chance * Math.exp((-off * off) / 2 / total)) / Math.sqrt(2 * Math.PI * total),
        gaussian: { mean: mean.to1DArray(), covariance: after.to1DArray() },
      }
    })
    const sum = each.reduce((total, { weight }) => total + weight, 0)
    const whole = merge(each.map(({ weight, gaussian }) => ({ weight: weight / sum, gaussian })))
    const { state, likelihood, chances } = absorb(prior, measured, ways)
    expect(likelihood).toBeCloseTo(sum, 12)
    each.forEach(({ weight }, index) => expect(chances[index]).toBeCloseTo(weight / sum, 12))
    whole.mean.forEach((value, index) => expect(state.mean[index]).toBeCloseTo(value, 10))
    whole.covariance.forEach((value, index) => expect(state.covariance[index]).toBeCloseTo(value, 10))
  })

  it('blends one value into another as the product of matrices does', () => {
    const start: Gaussian = { mean: [1, 2], covariance: [0.5, 0.1, 0.1, 0.3] }
    const change = new Matrix([
      [0.9, 0.4],
      [0, 1],
    ])
    const covariance = change
      .mmul(new Matrix([start.covariance.slice(0, 2), start.covariance.slice(2)]))
      .mmul(change.transpose())
      .to1DArray()
    const after = blend(start, 0, { keep: 0.9, other: 1, share: 0.4, noise: 0.02 })
    expect(after.mean).toEqual([0.9 + 0.8, 2])
    covariance.forEach((value, index) =>
      expect(after.covariance[index]).toBeCloseTo(value + (index === 0 ? 0.02 : 0), 12),
    )
  })
})

describe('normal distributions', () => {
  it.each([
    // tables of the normal distribution; 15 digits from memory of any statistics package
    [0, 0.5],
    [1, 0.841344746068543],
    [1.96, 0.97500210485178],
    [3, 0.99865010196837],
    [-5, 2.86651571879194e-7],
    [-8, 6.22096057427178e-16],
  ])('below %s', (x, chance) => {
    expect(Math.abs(normalBelow(x) - chance)).toBeLessThan(1e-14)
  })

  it('inverts a mixture', () => {
    const parts = [
      { weight: 0.7, mean: 3, deviation: 0.1 },
      { weight: 0.3, mean: 2.6, deviation: 0.4 },
    ]
    for (const chance of [0.01, 0.05, 0.5, 0.95, 0.99])
      expect(mixtureBelow(parts, mixtureQuantile(parts, chance))).toBeCloseTo(chance, 3)
  })

  it('merges a mixture into its mean and covariance', () => {
    const one = independent([{ mean: 1, deviation: 1 }])
    const other = independent([{ mean: 3, deviation: 2 }])
    const merged = merge([
      { weight: 0.5, gaussian: one },
      { weight: 0.5, gaussian: other },
    ])
    expect(merged.mean).toEqual([2])
    // variance of a mixture: mean of the variances + variance of the means
    expect(merged.covariance[0]).toBeCloseTo((1 + 4) / 2 + 1, 12)
  })

  it('cuts a Gaussian as numerical integration does', () => {
    const joint: Gaussian = {
      mean: [0.05, 1],
      covariance: [0.01, 0.006, 0.006, 0.02],
    }
    const floor = 0.02
    let mass = 0
    let mean = 0
    let square = 0
    const step = 1e-5
    for (let x = floor + step / 2; x < 1.2; x += step) {
      const weight = normalDensity((x - 0.05) / 0.1) * step
      mass += weight
      mean += x * weight
      square += x * x * weight
    }
    const cut = cutBelow(joint, 0, floor)
    expect(cut.mean[0]).toBeCloseTo(mean / mass, 6)
    expect(cut.covariance[0]).toBeCloseTo(square / mass - (mean / mass) ** 2, 6)
    // the other value follows by regression: slope 0.006 / 0.01
    expect(cut.mean[1]).toBeCloseTo(1 + 0.6 * (mean / mass - 0.05), 6)
    expect(cutBelow(joint, 1, 0)).toBe(joint)
  })
})
