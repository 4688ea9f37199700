import type { Command, Intent } from '../../messages/command.ts'
import type { BarContext } from '../barContext.ts'
import type { Work } from '../effect.ts'
import { toEvent, type CommandEvent } from '../events.ts'
import { lastThatCouldBe } from './missedSounds.ts'
import type { RepairQuestion } from './repairContext.ts'

/** What is said once a pour is over: said while one runs, its end was missed. */
const afterPour: readonly Intent[] = [
  'hand off',
  'hand off refused',
  'discard',
  'taste',
  'drink',
  'next',
  'grind by',
  'grind at',
  'purged',
  'leave it',
]

/** A pour whose start or end was missed is looked for within these lengths, seconds. Set by judgement, not measured. */
export const missedPour = { shortest: 5, longest: 90 } as const

/** The pour whose end was missed, as a command shows that is said after a pour. */
export function missedStop(
  { repair }: Pick<BarContext, 'repair'>,
  command: Command,
  { loop, place }: Work,
): RepairQuestion | null {
  const [pour] = loop.pours
  if (place !== 'pouring' || !pour || loop.pours.length > 1 || !afterPour.includes(command.intent))
    return null
  const { start } = pour
  const at = command.end
  const sound = lastThatCouldBe('stop', repair.missed, start + missedPour.shortest, command.onset - 0.5)
  return sound
    ? { kind: 'missed stop', start, end: sound.onset, then: toEvent(command), at }
    : { kind: 'time wanted', start, end: null, at }
}

/** The move that was advised, as the command that would have noted it. */
function advisedMove(command: Command, { loop }: Work): Extract<CommandEvent, { type: 'grind by' }> | null {
  const { step } = loop
  if (step?.action !== 'finer' && step?.action !== 'coarser') return null
  const { onset, end, confidence, heard, source } = command
  return {
    type: 'grind by',
    intent: 'grind by',
    slots: { notches: step.notches },
    ...{ onset, end, confidence, heard, source },
  }
}

/** What does not fit what is known, and so is asked about before it is believed. */
export function doubt(command: Command, work: Work): RepairQuestion | null {
  const { place, loop } = work
  const at = command.end
  const move = place === 'judge' || place === 'adjust' ? advisedMove(command, work) : null
  if (command.intent === 'purged' && loop.purged) {
    if (move) return { kind: 'moved', move, then: toEvent(command), at }
    if (loop.tally.shots > 0) return { kind: 'which way', then: toEvent(command), at }
  }
  if (command.intent === 'next' && place === 'adjust' && move) return { kind: 'moved', move, then: null, at }
  return null
}
