import { describe, expect, it } from 'vitest'
import * as units from '../../../src/coffee/units.ts'
import {
  OutOfRange,
  checkRecipe,
  checkWindow,
  standardRecipes,
  type Recipe,
} from '../../../src/coffee/index.ts'

describe('unit factors', () => {
  // NIST Special Publication 811 (2008), appendix B.8, factors as printed there, seven digits
  it.each([
    ['fluid ounce (US), mL', units.fluidOuncesToMillilitres(1), 29.57353],
    ['ounce (avoirdupois), g', units.ouncesToGrams(1), 28.34952],
    ['pound-force, N', units.poundsForceToNewtons(1), 4.448222],
    ['kilogram-force, N', units.kilogramsForceToNewtons(1), 9.80665],
    ['psi, kPa', units.psiToKilopascals(1), 6.894757],
    ['bar, kPa', units.barToKilopascals(1), 100],
  ])('%s', (_name, factor, printed) => {
    expect(Number(factor.toPrecision(7))).toBe(printed)
  })

  it('has the exact values that the definitions give', () => {
    // SP 811, B.6 and footnotes: inch 25.4 mm, pound 0.453 592 37 kg, standard gravity 9.806 65 m/s2, all exact
    expect(units.fluidOuncesToMillilitres(128)).toBeCloseTo(3785.411784, 9)
    expect(units.poundsForceToNewtons(1)).toBeCloseTo(4.4482216152605, 13)
    expect(units.ouncesToGrams(16)).toBeCloseTo(453.59237, 12)
  })

  it('turns degrees both ways', () => {
    // SP 811: t/degC = (t/degF - 32) / 1.8
    expect(units.fahrenheitToCelsius(212)).toBe(100)
    expect(units.fahrenheitToCelsius(-40)).toBe(-40)
    expect(units.celsiusToFahrenheit(93)).toBeCloseTo(199.4, 12)
  })

  it('undoes itself', () => {
    const pairs = [
      [units.fluidOuncesToMillilitres, units.millilitresToFluidOunces],
      [units.ouncesToGrams, units.gramsToOunces],
      [units.poundsForceToNewtons, units.newtonsToPoundsForce],
      [units.kilogramsForceToNewtons, units.newtonsToKilogramsForce],
      [units.psiToKilopascals, units.kilopascalsToPsi],
      [units.barToKilopascals, units.kilopascalsToBar],
      [units.fahrenheitToCelsius, units.celsiusToFahrenheit],
    ] as const
    for (const [to, back] of pairs) expect(back(to(17.3))).toBeCloseTo(17.3, 12)
  })
})

describe('recipes', () => {
  it('has the two standard windows', () => {
    // common practice: double 17 to 22 s for about 2.5 US fl oz, triple 25 to 30 s for about 3.5 US fl oz
    const { double, triple } = standardRecipes
    expect(double.window).toEqual({ opens: 17, closes: 22 })
    expect(triple.window).toEqual({ opens: 25, closes: 30 })
    expect(double.yield).toEqual({ by: 'volume', millilitres: expect.closeTo(73.934, 3) })
    expect(triple.yield).toEqual({ by: 'volume', millilitres: expect.closeTo(103.507, 3) })
    for (const recipe of [double, triple]) expect(checkRecipe(recipe)).toBe(recipe)
  })

  const house: Recipe = { ...standardRecipes.double, name: 'house', yield: { by: 'mass', grams: 36 } }

  it.each([
    [{ ...house, dose: NaN }, 'dose must be from 5 to 40 grams, not NaN'],
    [{ ...house, dose: 180 }, 'dose must be from 5 to 40 grams, not 180'],
    [
      { ...house, yield: { by: 'mass', grams: -1 } as const },
      'mass of the drink must be from 5 to 200 grams, not -1',
    ],
    [{ ...house, basket: 5.8 }, 'diameter of the basket must be from 35 to 75 millimetres, not 5.8'],
    [
      { ...house, window: { opens: 22, closes: 17 } },
      'time the window closes must be from 23 to 180 seconds, not 17',
    ],
  ])('says which value is wrong and what range it has', (recipe, words) => {
    expect(() => checkRecipe(recipe)).toThrow(
      new OutOfRange('', 0, 0, 0, '').constructor as typeof OutOfRange,
    )
    expect(() => checkRecipe(recipe)).toThrow(words)
  })

  it('refuses a window without end', () => {
    expect(() => checkWindow({ opens: 17, closes: Infinity })).toThrow('not Infinity')
  })
})
