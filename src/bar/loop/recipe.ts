import { checkRecipe, doseFor, OutOfRange, type Recipe } from '../../coffee/index.ts'
import { logged, refuse, say } from '../say.ts'
import { as, nowOf, switched, undoable, type Effect, type HouseChange, type LoopAction } from './effect.ts'
import { beliefOf, recipeOf, type LoopContext, type Place } from './loopContext.ts'

/** Sets parts of the house's own recipe, which begins as a copy of the one in use. */
function setHouse(
  context: LoopContext,
  place: Place,
  at: number,
  change: HouseChange,
  amount: number,
): Effect {
  const before = context.recipes.house
  const house: Recipe = { ...(before ?? { ...recipeOf(context), name: 'house' }), ...change }
  try {
    checkRecipe(house)
  } catch (error) {
    if (!(error instanceof OutOfRange)) throw error
    return refuse('trouble.house', amount, error)
  }
  // the first time all of it is logged: other devices have no copy to begin with
  const { name: _name, ...whole } = house
  return undoable(context, place, {
    change: { recipes: { ...context.recipes, house }, drifts: {} },
    cues: [logged, say('shift.house', { grams: house.dose, ...house.window })],
    entries: [{ kind: 'recipe set', at, recipe: 'house', ...(before ? change : whole) }],
  })
}

/** The recipe in use, and the house's own. */
export const recipeActions = {
  chooseRecipe: (context, event, place) => {
    const { recipe } = as(event, 'recipe').slots
    const chosen = context.recipes[recipe]
    if (!chosen) return { cues: [say('shift.no-house')] }
    const at = nowOf(context, event)
    const belief = beliefOf(context, at)
    const grams = doseFor(belief, chosen, { at: Math.max(at, belief.at), notch: context.notch })
    return switched(
      context,
      place,
      { recipe },
      { kind: 'recipe chosen', at, recipe },
      say('shift.recipe', {
        recipe: `word.${recipe}`,
        opens: chosen.window.opens,
        closes: chosen.window.closes,
      }),
      // one notch serves every size: where this one would miss at it, the dose brings it in
      ...(grams === null ? [] : [say('dose.for', { recipe: `word.${recipe}`, grams })]),
    )
  },

  /** One number of the house's own recipe. */
  setHouse: (context, event, place) => {
    const { field, amount } = as(event, 'house recipe').slots
    const { window } = context.recipes.house ?? recipeOf(context)
    const change: HouseChange =
      field === 'dose'
        ? { dose: amount }
        : field === 'yield'
          ? { yield: { by: 'mass', grams: amount } }
          : { window: { ...window, [field]: amount } }
    return setHouse(context, place, nowOf(context, event), change, amount)
  },

  /** The window the house works with: it is set, and worked with from now on. */
  setWindow: (context, event, place) => {
    const { opens, closes } = as(event, 'window').slots
    const set = setHouse(context, place, nowOf(context, event), { window: { opens, closes } }, closes)
    return set.entries ? { ...set, change: { ...set.change, recipe: 'house', step: null } } : set
  },

  /** What was chosen of two values: the log then knows of both. */
  settleHouse: (context, event, place) =>
    event.type === 'house settled'
      ? setHouse(context, place, event.at, event.change, event.change.dose ?? 0)
      : {},

  /** Another device changed the house recipe. */
  useHouse: (context, event) => {
    if (event.type !== 'house card') return {}
    const { house } = event
    const isNews = context.recipes.house !== null
    return {
      change: { recipes: { ...context.recipes, house }, drifts: {} },
      cues: isNews ? [say('house.changed'), say('shift.house', { grams: house.dose, ...house.window })] : [],
    }
  },
} satisfies Record<string, LoopAction>
