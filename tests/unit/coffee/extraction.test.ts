import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  beverageMass,
  brewRatio,
  chartPosition,
  extractionYield,
  fluidOuncesToMillilitres,
  massOfVolume,
  newtonsToKilogramsForce,
  poundsForceToNewtons,
  strength,
  tampPressure,
  kilopascalsToPsi,
  volumeOfMass,
} from '../../../src/coffee/index.ts'

describe('extraction', () => {
  it('is strength x drink / dose', () => {
    // the textbook figure of the brewing control chart: 55 g of coffee to a litre of water at 20 % gives about
    // 1.25 % strength once the grounds have kept about 2 g of water each gram (common practice, from memory)
    expect(strength(20, 55, 1000 - 2.1 * 55)).toBeCloseTo(1.24, 2)
    // common practice for espresso: 18 g in, 36 g out at 10 % is 20 %
    expect(brewRatio(18, 36)).toBe(2)
    expect(extractionYield(10, 18, 36)).toBeCloseTo(20, 12)
  })

  it('goes both ways', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 35, noNaN: true }),
        fc.double({ min: 5, max: 40, noNaN: true }),
        fc.double({ min: 50, max: 200, noNaN: true }),
        (percent, dose, drink) => {
          const strong = strength(percent, dose, drink)
          if (strong <= 30 && percent < 34.9)
            expect(extractionYield(strong, dose, drink)).toBeCloseTo(percent, 9)
        },
      ),
    )
  })

  it('places a drink on the brewing control chart', () => {
    expect(chartPosition(20, 10)).toEqual({ extraction: 'ideal', strength: 'ideal' })
    expect(chartPosition(18, 8)).toEqual({ extraction: 'ideal', strength: 'ideal' })
    expect(chartPosition(15, 6)).toEqual({ extraction: 'under', strength: 'weak' })
    expect(chartPosition(24, 13)).toEqual({ extraction: 'over', strength: 'strong' })
  })

  it('weighs a volume with and without its crema', () => {
    const double = fluidOuncesToMillilitres(2.5)
    expect(massOfVolume(double, 'with crema')).toBeCloseTo(40.7, 1)
    expect(massOfVolume(double, 'without crema')).toBeCloseTo(73.2, 1)
    expect(volumeOfMass(massOfVolume(50, 'with crema'), 'with crema')).toBeCloseTo(50, 12)
    expect(massOfVolume(60, 'with crema', 0.7)).toBeCloseTo(42, 12)
    expect(beverageMass({ by: 'mass', grams: 36 })).toBe(36)
  })

  it.each([
    [() => extractionYield(10, 0, 36), 'dose must be from 1 to 1000 grams, not 0'],
    [() => extractionYield(NaN, 18, 36), 'strength must be from 0 to 30 percent, not NaN'],
    [
      () => extractionYield(12, 10, 60),
      'extraction yield from these three numbers must be from 0 to 35 percent, not 72',
    ],
    [() => chartPosition(-1, 10), 'extraction yield must be from 0 to 35 percent, not -1'],
    [() => massOfVolume(-5, 'with crema'), 'volume of the drink must be from 0 to 1000 millilitres, not -5'],
  ])('names what is wrong', (run, words) => {
    expect(run).toThrow(words)
  })
})

describe('tamp', () => {
  it('turns the common 40 lbf into newtons, kilograms and pressure', () => {
    const force = poundsForceToNewtons(40)
    expect(force).toBeCloseTo(177.93, 2)
    expect(newtonsToKilogramsForce(force)).toBeCloseTo(18.144, 3)
    // 40 lbf over a circle of 58 mm (2.2835 in): 40 / (pi x 2.2835^2 / 4) psi
    expect(kilopascalsToPsi(tampPressure(force, 58))).toBeCloseTo(40 / ((Math.PI * (58 / 25.4) ** 2) / 4), 9)
    expect(tampPressure(force, 58)).toBeCloseTo(67.34, 2)
  })

  it('presses harder in a smaller basket', () => {
    expect(tampPressure(178, 53)).toBeGreaterThan(tampPressure(178, 58))
  })

  it('refuses what no hand can do', () => {
    expect(() => tampPressure(-1, 58)).toThrow('force of the tamp must be from 0 to 1000 newtons, not -1')
    expect(() => tampPressure(178, 0)).toThrow(
      'diameter of the basket must be from 35 to 75 millimetres, not 0',
    )
  })
})
