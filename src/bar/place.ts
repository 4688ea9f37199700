import type { StateValue } from 'xstate'
import { places, type Place } from './loop/loopContext.ts'

/** Where the loop stands, read off its state: the innermost state's name. */
export function placeOf(value: StateValue): Place {
  const inner = typeof value === 'string' ? value : Object.values(value)[0]
  if (typeof value !== 'string' && inner !== undefined) return placeOf(inner)
  const place = places.find((name) => name === value)
  if (!place) throw new Error(`no place is called ${String(value)}`)
  return place
}
