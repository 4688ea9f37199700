import type { SnapshotFrom } from 'xstate'
import type { DrillWait } from '../../messages/drill.ts'
import type { GrammarName } from '../../messages/grammarName.ts'
import type { drillMachine } from './drill.machine.ts'
import { stepOf } from './drillContext.ts'

/** What each kind of step waits to hear, besides the words that steer the drill. */
const grammarsOf: Readonly<Record<DrillWait['for'], readonly GrammarName[]>> = {
  next: ['grind'],
  grind: ['grind'],
  pour: ['ready'],
  window: ['ready', 'grind'],
  'hand-off': [],
  cups: [],
  rest: [],
  answer: ['confirm'],
  presses: ['tamp'],
  doses: ['dose'],
  call: ['ready'],
}

/** The grammars a drill has open at its present step. */
export function drillGrammars({ value, context }: SnapshotFrom<typeof drillMachine>): GrammarName[] {
  return value === 'pouring' ? ['pouring'] : ['drill', ...grammarsOf[stepOf(context).wait.for]]
}
