import type { Intent } from '../../messages/command.ts'
import type { SentenceId } from '../../messages/cue.ts'
import type { Place } from './loopContext.ts'

/** Intents that are open and closed together, and closed for the same reason. */
export const intentGroups = {
  always: [
    'repeat',
    'spell',
    'help',
    'status',
    'why',
    'time',
    'undo',
    'hush',
    'stop pour',
    'stop group',
    'pause listening',
    'set',
    'report',
    'week report',
  ],
  listening: ['resume listening'],
  answer: ['yes', 'no'],
  opening: ['open shift'],
  choice: [
    'recipe',
    'window',
    'coffee',
    'grinder',
    'person',
    'erase person',
    'settings',
    'end shift',
    'roasted',
    'room',
  ],
  beans: ['new bag', 'calibrate'],
  next: ['next'],
  move: ['grind by', 'grind at', 'leave it'],
  purge: ['purged'],
  dose: ['dose'],
  tamp: ['tamp force'],
  start: ['start pour', 'start group', 'cups'],
  drip: ['first drip'],
  verdict: ['look', 'taste', 'time was', 'drink', 'strength', 'serve anyway'],
  cup: ['hand off', 'hand off refused', 'discard'],
  setting: ['learn pedal', 'model back', 'forget pump', 'server', 'house recipe'],
  drill: ['drill'],
  steering: ['back', 'skip', 'progress', 'stop drill'],
} as const satisfies Readonly<Record<string, readonly Intent[]>>
export type IntentGroup = keyof typeof intentGroups

/** Why something cannot be done now, and the word that can be said instead, which the sentence names. */
export interface WhyNot {
  sentence: SentenceId
  /** a command that is open where the sentence is said */
  word?: string
}

const noShift: WhyNot = { sentence: 'why-not.no-shift', word: 'open shift' }
const pouring: WhyNot = { sentence: 'why-not.pouring', word: 'stop' }
const pullFirst: WhyNot = { sentence: 'why-not.pull-first', word: 'go' }
const noShot: WhyNot = { sentence: 'why-not.no-shot', word: 'go' }
const nextFirst: WhyNot = { sentence: 'why-not.next-first', word: 'next' }
const noPour: WhyNot = { sentence: 'why-not.no-pour', word: 'go' }
const noCup: WhyNot = { sentence: 'handoff.none' }
const settingsFirst: WhyNot = { sentence: 'why-not.settings-first', word: 'settings' }
const noDrill: WhyNot = { sentence: 'why-not.no-drill', word: 'drill one' }
const shiftIsOpen: WhyNot = { sentence: 'why-not.shift-is-open' }
const listening: WhyNot = { sentence: 'talk.resumed' }

/** Open there; or closed, with the reason; or closed and said among people so often that it gets no answer. */
type Answer = WhyNot | 'open' | 'silent'

const everywhere = { always: 'open', listening, answer: 'silent', cup: noCup } as const
const inHand = {
  ...everywhere,
  drip: noPour,
  opening: shiftIsOpen,
  choice: pullFirst,
  beans: pullFirst,
  purge: pullFirst,
  verdict: noShot,
  setting: pullFirst,
  drill: pullFirst,
  steering: pullFirst,
} as const
const poured = {
  ...everywhere,
  drip: noPour,
  opening: shiftIsOpen,
  choice: nextFirst,
  beans: nextFirst,
  next: 'open',
  move: 'open',
  purge: 'open',
  dose: nextFirst,
  tamp: nextFirst,
  start: 'open',
  verdict: 'open',
  setting: nextFirst,
  drill: nextFirst,
  steering: nextFirst,
} as const

/**
 * What is answered to a command that is understood but closed, by place and group. Everything is in it, so that no
 * command that stands alone gets no answer by oversight.
 */
export const whyNotTable: Readonly<Record<Place, Readonly<Record<IntentGroup, Answer>>>> = {
  closed: {
    ...everywhere,
    opening: 'open',
    choice: 'open',
    beans: noShift,
    next: noShift,
    move: noShift,
    purge: noShift,
    dose: noShift,
    tamp: noShift,
    start: noShift,
    drip: noShift,
    verdict: noShift,
    setting: settingsFirst,
    drill: 'open',
    steering: noDrill,
  },
  grind: {
    ...everywhere,
    opening: shiftIsOpen,
    choice: 'open',
    beans: 'open',
    next: 'open',
    move: 'open',
    purge: 'open',
    dose: 'open',
    tamp: { sentence: 'why-not.not-tamping', word: 'next' },
    start: 'open',
    drip: noPour,
    verdict: noShot,
    setting: settingsFirst,
    drill: 'open',
    steering: noDrill,
  },
  dose: {
    ...inHand,
    next: 'open',
    move: pullFirst,
    dose: 'open',
    tamp: { sentence: 'why-not.not-tamping', word: 'next' },
    start: 'open',
  },
  tamp: { ...inHand, next: 'open', move: pullFirst, dose: pullFirst, tamp: 'open', start: 'open' },
  ready: { ...inHand, next: pullFirst, move: pullFirst, dose: pullFirst, tamp: pullFirst, start: 'open' },
  pouring: {
    ...everywhere,
    opening: pouring,
    choice: pouring,
    beans: pouring,
    next: pouring,
    move: pouring,
    purge: pouring,
    dose: pouring,
    tamp: pouring,
    start: pouring,
    drip: 'open',
    verdict: pouring,
    cup: pouring,
    setting: pouring,
    drill: pouring,
    steering: pouring,
  },
  judge: poured,
  adjust: poured,
}

const groupOf = new Map(
  (Object.keys(intentGroups) as IntentGroup[]).flatMap((group) =>
    intentGroups[group].map((intent): [Intent, IntentGroup] => [intent, group]),
  ),
)

/** The sentence that says why a command is not obeyed in a place of the loop; null where that is left unsaid. */
export function whyNot(place: Place, intent: Intent): SentenceId | null {
  const group = groupOf.get(intent)
  const answer = group ? whyNotTable[place][group] : 'open'
  if (answer === 'silent') return null
  return answer === 'open' ? 'trouble.not-now' : answer.sentence
}
