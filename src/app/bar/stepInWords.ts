import type { LoopContext, Question, Situation } from '../../bar/index.ts'
import type { Destination } from '../../messages/command.ts'
import type { Words } from '../words/words.ts'

/** The one next thing in words, and why. */
export interface StepInWords {
  step: string
  reason?: string
  /** what must not be done: serve it */
  warning?: string
}

/**
 * What the tool waits to be told before anything else, if it does.
 *
 * @param question what it asked, where a yes or no answers it
 */
export function askedInWords(
  words: Words,
  { listening, asking }: Pick<Situation, 'listening' | 'asking'>,
  question: Question | null,
): string | null {
  if (listening === 'paused') return words('step.paused')
  switch (asking) {
    case 'nothing':
      return null
    case 'confirming':
    case 'repairing':
    case 'offering':
      return question ? words.sentence(question.sentence, question.values) : words('step.confirm')
    case 'learning':
      return words('step.learning')
    case 'setting':
      return words('step.setting')
  }
}

/**
 * What to do now, read off the machines. What is asked comes first, then a pour, then the cup that waits: those ten
 * seconds belong to the hand-off, as aloud. Only then comes the advice on the shot.
 */
export function stepInWords(
  words: Words,
  { place, listening, asking, waiting }: Situation,
  loop: Pick<LoopContext, 'purged' | 'step' | 'current'>,
  destination: Destination,
  question: Question | null,
): StepInWords {
  const asked = askedInWords(words, { listening, asking }, question)
  if (asked) return { step: asked }
  if (place === 'pouring') return { step: words('step.pouring') }
  if (waiting > 0)
    return { step: words('step.handoff', { destination: words(`destination.${destination}`) }) }
  if (place === 'grind' && !loop.purged) return { step: words('step.grind.purge') }
  if (place !== 'judge' && place !== 'adjust') return { step: words(`step.${place}`) }
  const { step, current } = loop
  const warning =
    current.handOff === 'expired'
      ? words('step.expired')
      : step && !step.serve
        ? words('step.no-serve')
        : undefined
  if (!step) return { step: words(`step.${place}`), ...(warning && { warning }) }
  return {
    step: words.sentence(step.sentence, { ...step.values }),
    reason: words.sentence(step.reason, { ...step.values }),
    ...(warning && { warning }),
  }
}
