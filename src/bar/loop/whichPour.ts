import type { Group } from '../../messages/command.ts'
import type { Cue } from '../../messages/cue.ts'
import { say } from '../say.ts'
import { timeOf, type LoopEvent } from './effect.ts'
import type { LoopContext, Pour } from './loopContext.ts'

/** Seconds within which a pour can be named after a bare "stop" while two ran. */
const answerWithin = 6

const otherGroup = (group: Group): Group => (group === 'left' ? 'right' : 'left')

/** Where a start puts its pour, with the pours that run as that makes them known; or why there is no place for it. */
type Start = { group: Group | null; running: readonly Pour[] } | { refusal: Cue }

/**
 * "Left start" and "right start" name the group. "Start" alone means the idle one: the only one while nothing pours,
 * the other one while a named one pours. A pour that was not named is on the other side of the one that is.
 */
export function startOf({ pours }: LoopContext, event: LoopEvent): Start {
  const [running] = pours
  const named = event.type === 'start group' ? event.slots.group : null
  if (!running) return { group: named, running: pours }
  if (pours.length > 1) return { refusal: say('pour.both') }
  if (named !== null)
    return running.group === named
      ? { refusal: say('pour.taken', { group: `word.${named}` }) }
      : { group: named, running: [{ ...running, group: otherGroup(named) }] }
  return running.group === null
    ? { refusal: say('pour.name-group') }
    : { group: otherGroup(running.group), running: pours }
}

/** The pour that an event is about: named, reported by its watch, or the only one. */
export function pourOf({ pours }: LoopContext, event: LoopEvent): Pour | null {
  if ('shot' in event) return pours.find(({ id }) => id === event.shot) ?? null
  const only = pours.length === 1 ? (pours[0] ?? null) : null
  if (event.type !== 'stop group') return only
  const { group } = event.slots
  return pours.find((pour) => pour.group === group) ?? (only?.group === null ? only : null)
}

/** The pour that began last: what is said of a pour without a name is about it. */
export const latestPour = ({ pours }: LoopContext): Pour | null => pours.at(-1) ?? null

/** When a pour ended: as the word for it began, or as "stop" did that left open which one was meant. */
export function endOf({ stopHeard }: LoopContext, event: LoopEvent): number {
  const at = timeOf(event, 0)
  return event.type === 'stop group' && stopHeard !== null && at - stopHeard < answerWithin ? stopHeard : at
}
