import type { Expectation } from '../messages/utterance.ts'
import type { LoopContext, Place } from './loop/loopContext.ts'
import type { Situation } from './mayBeSaid.ts'

/** What a place of the loop is for is likelier to be said there than the rest. Set by judgement, not measured. */
const usual: Readonly<Record<Place, readonly Expectation[]>> = {
  closed: [{ intent: 'open shift', times: 4 }],
  grind: [
    { intent: 'next', times: 4 },
    { intent: 'dose', times: 2 },
  ],
  dose: [
    { intent: 'dose', times: 4 },
    { intent: 'next', times: 4 },
  ],
  tamp: [{ intent: 'next', times: 4 }],
  ready: [],
  pouring: [{ intent: 'stop pour', times: 8 }],
  judge: [
    { intent: 'look', times: 2 },
    { intent: 'taste', times: 2 },
    { intent: 'next', times: 3 },
  ],
  adjust: [{ intent: 'next', times: 3 }],
}

/** A move of one notch is the commonest by far; larger ones are said when they are advised. */
const oneNotch: readonly Expectation[] = [
  { intent: 'grind by', slots: { notches: 1 }, times: 20 },
  { intent: 'grind by', slots: { notches: -1 }, times: 20 },
]

/** Where no shot pours there is none to stop: what fits either is a start. */
const start: Expectation = { intent: 'start pour', times: 8 }

/** What the tool has just asked for, advised or done, and so expects to be told. */
export function expectedNow(
  { place, asking, waiting, drill }: Situation,
  { step, purged }: Pick<LoopContext, 'step' | 'purged'>,
): Expectation[] {
  const advised = step?.notches
  return [
    ...(asking === 'confirming' || asking === 'repairing' || asking === 'offering'
      ? ([
          { intent: 'yes', times: 8 },
          { intent: 'no', times: 8 },
        ] as const)
      : []),
    ...(drill?.includes('pouring') ? usual.pouring : []),
    ...(waiting > 0 ? [{ intent: 'hand off', times: 6 } as const] : []),
    ...(place === 'grind' && !purged ? [{ intent: 'purged', times: 6 } as const] : []),
    ...(advised ? [{ intent: 'grind by', slots: { notches: advised }, times: 100 } as const] : []),
    ...usual[place],
    ...(place === 'pouring' || drill?.includes('pouring') ? [] : [start]),
    ...oneNotch,
  ]
}
