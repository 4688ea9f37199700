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
  judge: ['judge', 'adjust', 'ready'],
  adjust: ['judge', 'adjust', 'ready'],
}

/** What decides which words are open. */
export interface Situation {
  place: Place
  listening: 'on' | 'paused' | 'lost'
  asking: 'nothing' | 'confirming' | 'learning' | 'setting' | 'repairing' | 'offering'
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
  waiting,
  pours = 0,
  mayStartUnnamed = false,
  drill,
}: Situation): GrammarName[] {
  if (listening === 'paused') return ['stop', 'paused']
  const handOff: GrammarName[] = waiting > 0 ? ['handoff'] : []
  if (asking === 'setting') return ['stop', 'talk', 'settings', ...handOff]
  if (asking === 'confirming' || asking === 'learning') return ['stop', 'talk', 'confirm', ...handOff]
  const answers: GrammarName[] = asking === 'repairing' || asking === 'offering' ? ['confirm'] : []
  const running: GrammarName[] =
    pours > 0 && !drill ? ['pouring', ...(mayStartUnnamed ? (['ready'] as const) : [])] : []
  return [
    ...new Set<GrammarName>([
      'stop',
      'talk',
      ...(drill ?? grammarsOf[place]),
      ...running,
      ...answers,
      ...handOff,
    ]),
  ]
}
