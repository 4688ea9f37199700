import type { Utterance } from '../../messages/utterance.ts'
import type { MissedSound } from './repairContext.ts'

/** How far back a start or a stop is looked for, seconds. */
const remembered = 120
/** An unknown sound longer than this is no single word, seconds. */
const oneWord = 1
/** A chance below this is no evidence that it was the word. */
const least = 0.02

const chanceOf = ({ readings }: Utterance, intent: 'start pour' | 'stop pour') =>
  Math.max(
    0,
    ...readings.filter(({ command }) => command.intent === intent).map(({ probability }) => probability),
  )

/** The sounds kept, with one more that was not obeyed. */
export function rememberSound(missed: readonly MissedSound[], utterance: Utterance): readonly MissedSound[] {
  const { heard, onset, end, alone } = utterance
  const sound: MissedSound = {
    onset,
    start: chanceOf(utterance, 'start pour'),
    stop: chanceOf(utterance, 'stop pour'),
    isUnknown: alone && end - onset <= oneWord && heard.split(' ').every((word) => word === '[unk]'),
  }
  return [...missed.filter((other) => other.onset > onset - remembered), sound]
}

/**
 * The last sound that could have been a word, with its onset in a stretch of time: one that resembled it, else one
 * that was short and stood by itself.
 */
export function lastThatCouldBe(
  word: 'start' | 'stop',
  missed: readonly MissedSound[],
  from: number,
  until: number,
): MissedSound | undefined {
  const within = missed.filter(({ onset }) => onset >= from && onset <= until)
  return within.findLast((sound) => sound[word] >= least) ?? within.findLast(({ isUnknown }) => isUnknown)
}
