import type { Command, Meaning, Source } from '../messages/command.ts'
import type { Place } from '../bar/loopContext.ts'

/** What the space bar, a foot switch and the one big button do: the most likely next word of each place. */
export const likelyNext: Readonly<Record<Place, Meaning>> = {
  closed: { intent: 'open shift', slots: null },
  grind: { intent: 'next', slots: null },
  dose: { intent: 'next', slots: null },
  tamp: { intent: 'next', slots: null },
  ready: { intent: 'start pour', slots: null },
  pouring: { intent: 'stop pour', slots: null },
  judge: { intent: 'next', slots: null },
  adjust: { intent: 'next', slots: null },
}

/** A command from a key, a touch or a pedal, at the moment it was pressed. */
export const pressed = (
  meaning: Meaning,
  at: number,
  name: string,
  source: Exclude<Source, 'voice'>,
): Command => ({
  ...meaning,
  onset: at,
  end: at,
  confidence: 1,
  heard: name,
  source,
})
