/**
 * What lies between the number on the collar and the grounds in the basket: play of the collar, and old grounds held
 * up between the burrs and the spout. A plain value for one supposed build of grinder.
 */
export interface Grounds {
  /** where the burrs stand, in notches: behind the collar by up to half its play */
  readonly burrs: number
  /** grams of old grounds still held up, and where the burrs stood when they were ground */
  readonly old: number
  readonly oldBurrs: number
}

export const groundsAt = (notch: number): Grounds => ({ burrs: notch, old: 0, oldBurrs: notch })

/** The collar was turned to `notch`: the burrs follow once the play is taken up, and what is held up is old. */
export function turnTo(
  grounds: Grounds,
  notch: number,
  { play, holdUp }: { readonly play: number; readonly holdUp: number },
): Grounds {
  const burrs = Math.min(Math.max(grounds.burrs, notch - play / 2), notch + play / 2)
  if (burrs === grounds.burrs) return grounds
  const older = Math.min(grounds.old, holdUp)
  return {
    burrs,
    old: holdUp,
    oldBurrs: holdUp > 0 ? (older * grounds.oldBurrs + (holdUp - older) * grounds.burrs) / holdUp : burrs,
  }
}

/** The grounds left after this many grams have gone through, first in, first out. */
export const pushOut = (grounds: Grounds, grams: number): Grounds =>
  grounds.old === 0 ? grounds : { ...grounds, old: Math.max(0, grounds.old - grams) }

/** Part of the next dose that is old, 0 to 1. */
export const oldShare = ({ old }: Grounds, dose: number): number => Math.min(old / dose, 1)

/** The setting that the next dose amounts to, in notches: new and old by their shares. */
export function settingOf(grounds: Grounds, dose: number): number {
  const share = oldShare(grounds, dose)
  return (1 - share) * grounds.burrs + share * grounds.oldBurrs
}
