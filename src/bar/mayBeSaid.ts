import type { GrammarName } from '../messages/grammarName.ts'
import type { Place } from './loop/loopContext.ts'

/** What is open in each place besides the words that are always open. Kept small: fewer words are heard better. */
const grammarsOf: Readonly<Record<Place, readonly GrammarName[]>> = {
  closed: ['shift', 'drill'],
  grind: ['grind', 'dose', 'ready', 'shift', 'drill'],
  dose: ['dose', 'ready'],
  tamp: ['tamp', 'ready'],
  ready: ['ready'],
  pouring: ['pouring'],
  judge: ['judge', 'timed', 'adjust', 'ready'],
  adjust: ['judge', 'timed', 'adjust', 'ready'],
}

/** What decides which words are open. */
export interface Situation {
  place: Place
  listening: 'on' | 'paused' | 'lost'
  asking: 'nothing' | 'confirming' | 'learning' | 'setting' | 'repairing' | 'offering'
  /** what was asked for to repair a misunderstanding */
  wanted?: 'yes or no' | 'time' | 'command'
  /** hand-off clocks that run */
  waiting: number
  /** pours that run while the hands are elsewhere or wait for them; and whether another may begin without a name */
  pours?: number
  mayStartUnnamed?: boolean
  /** a drill is being done: its own words take the place of the loop's */
  drill?: readonly GrammarName[]
}

/** The grammars that are open now. While the tool speaks, hearing narrows them to `stop`. */
export function mayBeSaid({
  place,
  listening,
  asking,
  wanted,
  waiting,
  pours = 0,
  mayStartUnnamed = false,
  drill,
}: Situation): GrammarName[] {
  if (listening === 'paused') return ['stop', 'paused']
  const handOff: GrammarName[] = waiting > 0 ? ['handoff'] : []
  if (asking === 'setting') return ['stop', 'talk', 'settings', ...handOff]
  if (asking === 'confirming' || asking === 'learning') return ['stop', 'talk', 'confirm', ...handOff]
  const running: readonly GrammarName[] =
    pours > 0 && !drill ? ['pouring', ...(mayStartUnnamed ? (['ready'] as const) : [])] : []
  const here = [...(drill ?? grammarsOf[place]), ...running]
  // "go" sounds like "no"
  const withAnswers: readonly GrammarName[] = [...here.filter((name) => name !== 'ready'), 'confirm']
  const open =
    asking === 'offering' || (asking === 'repairing' && wanted === 'yes or no')
      ? withAnswers
      : asking === 'repairing' && wanted === 'time'
        ? ([...here, 'timed'] as const)
        : here
  return [...new Set<GrammarName>(['stop', 'talk', ...open, ...handOff])]
}
