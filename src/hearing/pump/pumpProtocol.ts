import type { PumpNews } from './follower.ts'
import type { PumpKnowledge } from './pumpStudent.ts'

/** What the page and the pump's worker say to each other. Times are the audio context's, in seconds. */
export type ToPump =
  /** `sampleRate` of the audio context, Hz */
  | { kind: 'open'; sampleRate: number }
  /** a port that takes sound, see `Sound` in `../protocol.ts` */
  | { kind: 'source'; port: MessagePort }
  /** somebody timed a shot by word, key or pedal */
  | { kind: 'taught'; onset: number; end: number }
  | { kind: 'forget' }

export type FromPump =
  PumpNews | { kind: 'learnt'; knowledge: PumpKnowledge } | { kind: 'failed'; detail: string }
