import type { Command, Intent, Meaning, Slots } from './command.ts'

/** One command that a phrase may have been. */
export interface Reading {
  /** with the words it would have been said in, also where one of them was not understood */
  command: Command
  /** whether it may be said in the present state */
  open: boolean
  /** the chance that it was this command, and neither another nor talk; 0 to 1 */
  probability: number
}

/** A phrase as the ear heard it. What is done about it is the bar's business. Times are on the bar clock, seconds. */
export interface Utterance {
  /** what it may have been, likeliest first; none: nothing like a command */
  readings: readonly Reading[]
  /** the words as heard; `[unk]` for what is no word of the grammars */
  heard: string
  /** start of its first word */
  onset: number
  /** end of its last word */
  end: number
  /** nobody spoke as loud beside it: it was meant for somebody, and that may be the tool */
  alone: boolean
  /** the tool was speaking at the time, so it may be its own voice */
  overOwnSpeech: boolean
}

/** What is likelier to be said now than the rest, because of what was just asked, advised or done. */
export type Expectation = {
  [I in Intent]: {
    intent: I
    /** only with these slots; left out, with any */
    slots?: Partial<NonNullable<Slots[I]>>
    /** how much likelier than a command that is merely open, at least 1 */
    times: number
  }
}[Intent]

/** How much likelier a meaning is now than one that is merely open: 1 when nothing makes it so. */
export function timesExpected({ intent, slots }: Meaning, expected: readonly Expectation[]): number {
  const given = Object.entries(slots ?? {})
  return Math.max(
    1,
    ...expected
      .filter((one) => one.intent === intent)
      .filter((one) =>
        Object.entries(one.slots ?? {}).every(([slot, value]) =>
          given.some(([name, said]) => name === slot && said === value),
        ),
      )
      .map(({ times }) => times),
  )
}

/** The least chance at which a command is obeyed. */
const sure = {
  usual: 0.4,
  /** silences the tool: short words, obeyed before it is known what follows them */
  hush: 0.7,
} as const

/** The command that an utterance is obeyed as: open, likelier than all else, and sure. */
export function obeyedAs({ readings, alone }: Utterance): Command | null {
  const [best] = readings
  if (!best?.open || !alone) return null
  return best.probability >= (best.command.intent === 'hush' ? sure.hush : sure.usual) ? best.command : null
}

/** Why an utterance is not obeyed. */
export type NotObeyed = 'among talk' | 'no command' | 'closed' | 'unsure'

/** Why an utterance is not obeyed, if it is not. */
export function whyNotObeyed(utterance: Utterance): NotObeyed | null {
  if (obeyedAs(utterance)) return null
  const [best] = utterance.readings
  if (!utterance.alone) return 'among talk'
  if (!best) return 'no command'
  return best.open ? 'unsure' : 'closed'
}
