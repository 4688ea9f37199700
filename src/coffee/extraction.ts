import { inRange, OutOfRange } from './outOfRange.ts'
import type { Yield } from './recipe.ts'

/**
 * Mass of a millilitre of espresso with its fresh crema, grams. Crema is mostly gas, and shrinks within minutes.
 * From memory: a 2.5 fl oz double of the trade weighs about 40 g. A house that weighs its own sets its own.
 */
const densityWithCrema = 0.55
/** Mass of a millilitre of espresso once the crema is gone, grams. From memory: about 1 % over water at serving heat. */
const densityWithoutCrema = 0.99

/** Mass of drink, grams, for a volume in millilitres read with or without its crema. @throws OutOfRange */
export function massOfVolume(
  millilitres: number,
  crema: 'with crema' | 'without crema',
  density = densityOf(crema),
): number {
  inRange('volume of the drink', millilitres, 0, 1000, 'millilitres')
  inRange('density of the drink', density, 0.2, 1.2, 'grams a millilitre')
  return millilitres * density
}

/** Volume of drink, millilitres, for a mass in grams. @throws OutOfRange */
export function volumeOfMass(
  grams: number,
  crema: 'with crema' | 'without crema',
  density = densityOf(crema),
): number {
  inRange('mass of the drink', grams, 0, 1000, 'grams')
  inRange('density of the drink', density, 0.2, 1.2, 'grams a millilitre')
  return grams / density
}

const densityOf = (crema: 'with crema' | 'without crema'): number =>
  crema === 'with crema' ? densityWithCrema : densityWithoutCrema

/** Mass of a recipe's drink, grams. Bars read volumes with the crema on. */
export const beverageMass = (drink: Yield): number =>
  drink.by === 'mass' ? drink.grams : massOfVolume(drink.millilitres, 'with crema')

/** Brew ratio: grams of drink for one gram of dry coffee. @throws OutOfRange */
export function brewRatio(doseGrams: number, beverageGrams: number): number {
  inRange('dose', doseGrams, 1, 1000, 'grams')
  inRange('mass of the drink', beverageGrams, 0, 20_000, 'grams')
  return beverageGrams / doseGrams
}

/**
 * Extraction yield: part of the dry coffee that went into the drink, percent.
 * strength (total dissolved solids, percent by mass) x mass of drink / dose; for percolation, of which espresso is
 * one, this is the usual formula (common practice; brewing control chart of Lockhart, Coffee Brewing Institute, 1957).
 * @throws OutOfRange
 */
export function extractionYield(strengthPercent: number, doseGrams: number, beverageGrams: number): number {
  inRange('strength', strengthPercent, 0, 30, 'percent')
  const percent = strengthPercent * brewRatio(doseGrams, beverageGrams)
  // only about 30 % of roasted coffee dissolves at all: more means that one of the three numbers is wrong
  if (percent > 35)
    throw new OutOfRange('extraction yield from these three numbers', percent, 0, 35, 'percent')
  return percent
}

/** Strength that an extraction yield gives at a ratio, percent. @throws OutOfRange */
export function strength(extractionPercent: number, doseGrams: number, beverageGrams: number): number {
  inRange('extraction yield', extractionPercent, 0, 35, 'percent')
  return extractionPercent / brewRatio(doseGrams, beverageGrams)
}

/** A rectangle of the brewing control chart, percent. */
export interface BrewingRange {
  readonly extraction: { readonly low: number; readonly high: number }
  readonly strength: { readonly low: number; readonly high: number }
}

/**
 * Where good coffee lies. Extraction 18 to 22 % for both, strength 1.15 to 1.35 % (filter): the brewing control
 * chart as published by Lockhart (1957) and carried on by the trade's associations. Strength 8 to 12 % (espresso):
 * common practice.
 */
export const brewingRanges: { readonly filter: BrewingRange; readonly espresso: BrewingRange } = {
  filter: { extraction: { low: 18, high: 22 }, strength: { low: 1.15, high: 1.35 } },
  espresso: { extraction: { low: 18, high: 22 }, strength: { low: 8, high: 12 } },
}

export interface ChartPosition {
  readonly extraction: 'under' | 'ideal' | 'over'
  readonly strength: 'weak' | 'ideal' | 'strong'
}

/** Where a drink lies on the brewing control chart. Edges are ideal. @throws OutOfRange */
export function chartPosition(
  extractionPercent: number,
  strengthPercent: number,
  range: BrewingRange = brewingRanges.espresso,
): ChartPosition {
  inRange('extraction yield', extractionPercent, 0, 35, 'percent')
  inRange('strength', strengthPercent, 0, 30, 'percent')
  const { extraction, strength } = range
  return {
    extraction:
      extractionPercent < extraction.low ? 'under' : extractionPercent > extraction.high ? 'over' : 'ideal',
    strength: strengthPercent < strength.low ? 'weak' : strengthPercent > strength.high ? 'strong' : 'ideal',
  }
}
