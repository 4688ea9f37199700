import { inRange } from './outOfRange.ts'
import { fluidOuncesToMillilitres } from './units.ts'

/** When a shot should end, in seconds from pump on to pump off. Both ends belong to the window. */
export interface Window {
  readonly opens: number
  readonly closes: number
}

/** How much drink is wanted: weighed in grams or, as bars mostly do, by the line on the glass. */
export type Yield =
  { readonly by: 'mass'; readonly grams: number } | { readonly by: 'volume'; readonly millilitres: number }

export interface Recipe {
  readonly name: string
  /** dry coffee, grams */
  readonly dose: number
  readonly yield: Yield
  readonly window: Window
  /** inner diameter of the basket, millimetres */
  readonly basket: number
}

/** Ranges a recipe's numbers must lie in. Wide enough for any bar, narrow enough to catch a slip of the tongue. */
export const recipeRanges = {
  dose: { low: 5, high: 40 },
  grams: { low: 5, high: 200 },
  millilitres: { low: 5, high: 200 },
  opens: { low: 3, high: 120 },
  closes: { low: 4, high: 180 },
  basket: { low: 35, high: 75 },
} as const

/**
 * The standard recipes. Windows and fluid ounces of the double and the triple: common practice. Doses, the 58 mm basket,
 * and all of the single, the ristretto and the long: common practice, from memory; a house with others makes its own.
 */
export const standardRecipes: {
  readonly [Name in 'single' | 'double' | 'triple' | 'ristretto' | 'long']: Recipe
} = {
  single: {
    name: 'single',
    dose: 9,
    yield: { by: 'volume', millilitres: fluidOuncesToMillilitres(1.25) },
    window: { opens: 17, closes: 22 },
    basket: 58,
  },
  double: {
    name: 'double',
    dose: 18,
    yield: { by: 'volume', millilitres: fluidOuncesToMillilitres(2.5) },
    window: { opens: 17, closes: 22 },
    basket: 58,
  },
  triple: {
    name: 'triple',
    dose: 22,
    yield: { by: 'volume', millilitres: fluidOuncesToMillilitres(3.5) },
    window: { opens: 25, closes: 30 },
    basket: 58,
  },
  ristretto: {
    name: 'ristretto',
    dose: 18,
    yield: { by: 'volume', millilitres: fluidOuncesToMillilitres(1.5) },
    window: { opens: 15, closes: 20 },
    basket: 58,
  },
  long: {
    name: 'long',
    dose: 18,
    yield: { by: 'volume', millilitres: fluidOuncesToMillilitres(4) },
    window: { opens: 25, closes: 35 },
    basket: 58,
  },
}

/** Gives the window back when it makes sense. @throws OutOfRange */
export function checkWindow(window: Window): Window {
  inRange('time the window opens', window.opens, recipeRanges.opens.low, recipeRanges.opens.high, 'seconds')
  inRange('time the window closes', window.closes, window.opens + 1, recipeRanges.closes.high, 'seconds')
  return window
}

/** Gives the recipe back when every number in it makes sense. @throws OutOfRange naming the first that does not */
export function checkRecipe(recipe: Recipe): Recipe {
  inRange('dose', recipe.dose, recipeRanges.dose.low, recipeRanges.dose.high, 'grams')
  if (recipe.yield.by === 'mass')
    inRange('mass of the drink', recipe.yield.grams, recipeRanges.grams.low, recipeRanges.grams.high, 'grams')
  else
    inRange(
      'volume of the drink',
      recipe.yield.millilitres,
      recipeRanges.millilitres.low,
      recipeRanges.millilitres.high,
      'millilitres',
    )
  checkWindow(recipe.window)
  inRange(
    'diameter of the basket',
    recipe.basket,
    recipeRanges.basket.low,
    recipeRanges.basket.high,
    'millimetres',
  )
  return recipe
}
