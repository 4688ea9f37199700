import { recipeRanges } from '../coffee/index.ts'
import type { Entry } from '../messages/entry.ts'

/** A number of an entry that cannot be right, and what it would have to be. */
export interface OddField {
  field: string
  value: number
  low: number
  high: number
}

interface Range {
  low: number
  high: number
}

/** A pour that was timed; longer ones were forgotten, and no shot takes an hour. */
const pour: Range = { low: 0, high: 3600 }
/** Settings of a grinder and moves of it, in notches; wider than what can be said. */
const notch: Range = { low: -1000, high: 1000 }

/**
 * The first number of an entry that is outside what a bar can mean by it, or `null`. The ranges of a recipe are those of
 * the computation, so a recipe out of the log can always be worked with.
 */
export function oddField(entry: Entry): OddField | null {
  switch (entry.kind) {
    case 'grind moved':
      return outside('notches', entry.notches, notch) ?? outside('notch', entry.notch, notch)
    case 'shot':
      return (
        outside('seconds', entry.seconds, pour) ??
        windowOdd(entry.windowOpens, entry.windowCloses, 'windowOpens', 'windowCloses') ??
        outside('notch', entry.notch, notch) ??
        outside('dose', entry.dose, recipeRanges.dose)
      )
    case 'corrected':
      return outside('seconds', entry.seconds, pour)
    case 'recipe set':
      return (
        outside('dose', entry.dose, recipeRanges.dose) ??
        (entry.yield?.by === 'mass'
          ? outside('yield', entry.yield.grams, recipeRanges.grams)
          : outside('yield', entry.yield?.millilitres, recipeRanges.millilitres)) ??
        (entry.window ? windowOdd(entry.window.opens, entry.window.closes, 'window', 'window') : null) ??
        outside('basket', entry.basket, recipeRanges.basket)
      )
    default:
      return null
  }
}

function outside(field: string, value: number | undefined, { low, high }: Range): OddField | null {
  return value === undefined || (value >= low && value <= high) ? null : { field, value, low, high }
}

/** A window is a second long or longer. */
function windowOdd(opens: number, closes: number, opensField: string, closesField: string): OddField | null {
  return (
    outside(opensField, opens, recipeRanges.opens) ??
    outside(closesField, closes, { low: opens + 1, high: recipeRanges.closes.high })
  )
}
