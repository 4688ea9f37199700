import type { Cue, Earcon, Priority, SentenceId, SentenceValues } from '../messages/cue.ts'

type Say = Extract<Cue, { kind: 'say' }>

/** A sentence, said as soon as its priority allows. */
export const say = (sentence: SentenceId, values?: SentenceValues, priority: Priority = 'answer'): Say => ({
  kind: 'say',
  sentence,
  priority,
  ...(values && { values }),
})

/** A sentence that cuts in. */
export const warn = (sentence: SentenceId, values?: SentenceValues): Say => say(sentence, values, 'warning')

/** What to do next: dropped when it comes too late. */
export const prompt = (sentence: SentenceId, values?: SentenceValues): Say => say(sentence, values, 'prompt')

export const earcon = (name: Earcon): Cue => ({ kind: 'earcon', earcon: name })

/** Sounds when the entry it belongs to is safe in the log. */
export const logged = earcon('logged')

/** A number that cannot be true is refused with the range that can. */
export const refuse = (sentence: SentenceId, amount: number, range: { low: number; high: number }) => ({
  cues: [earcon('not understood'), say(sentence, { amount, low: range.low, high: range.high })],
})

/** One decimal: as exact as a time is said. */
export const oneDecimal = (value: number) => Math.round(value * 10) / 10
