/**
 * Unit factors to SI, exact by definition unless said otherwise.
 * Source: NIST Special Publication 811 (2008 edition), appendix B.8; the fluid ounce is 1/128 US gallon of 231
 * cubic inches, and the inch is 25.4 mm (also appendix B). Inside, times are seconds, masses grams, volumes
 * millilitres, forces newtons, lengths millimetres, pressures kilopascals.
 */

/** grams in an avoirdupois pound */
const gramsPerPound = 453.59237
/** grams in an avoirdupois ounce */
const gramsPerOunce = gramsPerPound / 16
/** millilitres in a US fluid ounce: 231 cubic inches / 128 */
const millilitresPerFluidOunce = (231 * 2.54 ** 3) / 128
/** newtons in a kilogram-force: standard gravity, 9.80665 m/s2 */
const newtonsPerKilogramForce = 9.80665
/** newtons in a pound-force */
const newtonsPerPoundForce = (gramsPerPound / 1000) * newtonsPerKilogramForce
/** square metres in a square inch */
const squareMetresPerSquareInch = 0.0254 ** 2
/** kilopascals in a pound-force per square inch */
const kilopascalsPerPsi = newtonsPerPoundForce / squareMetresPerSquareInch / 1000

export const fluidOuncesToMillilitres = (fluidOunces: number): number =>
  fluidOunces * millilitresPerFluidOunce
export const millilitresToFluidOunces = (millilitres: number): number =>
  millilitres / millilitresPerFluidOunce
export const ouncesToGrams = (ounces: number): number => ounces * gramsPerOunce
export const gramsToOunces = (grams: number): number => grams / gramsPerOunce
export const poundsForceToNewtons = (pounds: number): number => pounds * newtonsPerPoundForce
export const newtonsToPoundsForce = (newtons: number): number => newtons / newtonsPerPoundForce
export const kilogramsForceToNewtons = (kilograms: number): number => kilograms * newtonsPerKilogramForce
export const newtonsToKilogramsForce = (newtons: number): number => newtons / newtonsPerKilogramForce
export const psiToKilopascals = (psi: number): number => psi * kilopascalsPerPsi
export const kilopascalsToPsi = (kilopascals: number): number => kilopascals / kilopascalsPerPsi
export const barToKilopascals = (bar: number): number => bar * 100
export const kilopascalsToBar = (kilopascals: number): number => kilopascals / 100
export const fahrenheitToCelsius = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9
export const celsiusToFahrenheit = (celsius: number): number => (celsius * 9) / 5 + 32
