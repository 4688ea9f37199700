import type { Command } from '../../messages/command.ts'
import { obeyedAs, type Utterance } from '../../messages/utterance.ts'

/** What is done about an utterance. */
export type Decision =
  | { kind: 'obey'; command: Command }
  /** half understood: asked about; one guess, or two to choose from, the likelier first */
  | { kind: 'ask'; guesses: readonly [Command] | readonly [Command, Command] }
  /** understood, but not open now */
  | { kind: 'say why not'; command: Command }
  /** it was one of the tool's words, but which is unclear */
  | { kind: 'not understood' }
  /** talk that is not meant for the tool */
  | { kind: 'leave alone' }

/** Chances, 0 to 1, from which on an utterance is answered. Set by judgement: not yet measured against talk. */
const answered = {
  /** an open command is worth a question */
  guess: 0.2,
  /** a second guess is offered when it has this share of the first one's chance */
  second: 0.5,
  /** a command that makes no sense now is worth a word: people rarely say one by chance */
  closed: 0.5,
} as const

/** Decides what to do about a phrase. Only one spoken by itself, while the tool was silent, gets an answer. */
export function decide(utterance: Utterance): Decision {
  const obeyed = obeyedAs(utterance)
  if (obeyed) return { kind: 'obey', command: obeyed }
  const { readings, alone, overOwnSpeech, heard } = utterance
  if (!alone || overOwnSpeech) return { kind: 'leave alone' }

  const [best] = readings
  if (best && !best.open && best.probability >= answered.closed)
    return { kind: 'say why not', command: best.command }
  const [first, second] = readings.filter(({ open }) => open)
  if (first && first.probability >= answered.guess)
    return {
      kind: 'ask',
      guesses:
        second && second.probability >= answered.second * first.probability
          ? [first.command, second.command]
          : [first.command],
    }
  return heard.includes('[unk]') ? { kind: 'leave alone' } : { kind: 'not understood' }
}
