import type { SentenceId, SentenceValues } from '../../messages/cue.ts'
import { oneDecimal } from '../say.ts'
import type { RepairQuestion } from './repairContext.ts'

/** A question in the words in which it is asked, and shown. */
export function repairCue(question: RepairQuestion): { sentence: SentenceId; values: SentenceValues } {
  switch (question.kind) {
    case 'guess': {
      const words = question.commands.map(({ heard }) => heard)
      return { sentence: words.length > 1 ? 'repair.which' : 'repair.guess', values: { words } }
    }
    case 'missed start':
    case 'missed stop':
      return {
        sentence: question.kind === 'missed start' ? 'repair.missed-start' : 'repair.missed-stop',
        values: { seconds: oneDecimal(question.end - question.start) },
      }
    case 'time wanted':
      return { sentence: question.end === null ? 'repair.no-stop' : 'repair.no-start', values: {} }
    case 'moved': {
      const { notches } = question.move.slots
      const direction = notches < 0 ? 'word.coarser' : 'word.finer'
      return Math.abs(notches) === 1
        ? { sentence: 'repair.moved.one', values: { direction } }
        : { sentence: 'repair.moved.more', values: { notches: Math.abs(notches), direction } }
    }
    case 'which way':
      return { sentence: 'repair.which-way', values: {} }
  }
}
