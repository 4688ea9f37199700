import type { Meaning } from '../messages/command.ts'
import type { Rejection, Understand } from '../../grammar/understand.ts'
import { voiceSeconds, type VoiceBeside, type Word } from './protocol.ts'

/** Why something that was said is not obeyed. */
export type RejectionReason =
  | Rejection
  /** the engine was not sure enough of a word */
  | 'unsure'
  /** in the midst of other talk as loud */
  | 'among talk'
  /** words too quick to have been said: noise in their shape */
  | 'too quick'

/** What it takes to be obeyed. Chosen by the hearing benchmark, see docs/decisions.md. */
export interface Strictness {
  /** the least confidence of any word, 0 to 1 */
  confidence: number
  /** the same of the words that silence the tool: short, and obeyed before it is known what follows them */
  hush: number
  /** the least duration of its words on average, seconds: "a" and "the" may be shorter */
  duration: number
  /** other talk beside a command counts from this loudness on, dB against the command's words */
  talkLevel: number
  /** seconds of such talk from which on the words are part of it, and no command */
  talk: number
  /** confidence from which on the word that ends a pour is obeyed even then: it cannot wait for silence */
  stopAmongTalk: number
}

export const usualStrictness: Strictness = {
  confidence: 0.4,
  hush: 0.7,
  duration: 0.1,
  talkLevel: -6,
  talk: 0.15,
  stopAmongTalk: 0.8,
}

export type Judged =
  | { kind: 'command'; meaning: Meaning; onset: number; end: number; confidence: number; heard: string }
  | { kind: 'rejected'; reason: RejectionReason; onset: number; end: number; heard: string }

/** Whether so much talk as loud goes on beside some words that they are part of it. */
export const isAmongTalk = (beside: readonly VoiceBeside[], { talkLevel, talk }: Strictness): boolean =>
  beside.filter(({ level }) => level >= talkLevel).length * voiceSeconds >= talk

/**
 * Decides whether an utterance is a command.
 *
 * @param words of a whole utterance, at least one; their times are kept as they are
 * @param beside voices in and shortly before it that are in none of its known words. Talk as loud makes it no command.
 */
export function judge(
  words: readonly Word[],
  beside: readonly VoiceBeside[],
  understand: Understand,
  strictness: Strictness,
): Judged {
  const heard = words.map(({ word }) => word).join(' ')
  const understood = understand(words.map(({ word }) => word))
  const said = understood.kind === 'command' ? words.slice(understood.from, understood.to) : words
  const span = { onset: said[0]?.onset ?? 0, end: said.at(-1)?.end ?? 0, heard }
  const confidence = Math.min(...said.map((word) => word.confidence))
  const cannotWait = understood.kind === 'command' && understood.meaning.intent === 'stop pour'
  if (isAmongTalk(beside, strictness) && !(cannotWait && confidence >= strictness.stopAmongTalk))
    return { kind: 'rejected', reason: 'among talk', ...span }
  if (understood.kind === 'rejected') return { ...understood, ...span }
  const least = understood.meaning.intent === 'hush' ? strictness.hush : strictness.confidence
  if (confidence < least) return { kind: 'rejected', reason: 'unsure', ...span }

  const duration = said.reduce((sum, { onset, end }) => sum + end - onset, 0) / said.length
  if (duration < strictness.duration) return { kind: 'rejected', reason: 'too quick', ...span }
  return { kind: 'command', meaning: understood.meaning, confidence, ...span }
}
