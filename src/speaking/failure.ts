import type { SentenceId } from '../messages/cue.ts'

/** What can go wrong with speaking. The app shows it, since it cannot always be said. */
export type SpeakingFailure =
  /** the browser holds sound back until a touch, click or key; what was to be said waits */
  | { kind: 'audio blocked' }
  /** the browser has no Web Audio, or cannot decode Opus */
  | { kind: 'no audio'; detail: string }
  /** the voice's files are not there */
  | { kind: 'voice missing'; voice: string; detail: string }
  /** the voice's files are there and are not what they should be */
  | { kind: 'voice broken'; voice: string; detail: string }
  /** a sentence cannot be worded or was not recorded: a fault of the program or of the sentence file */
  | { kind: 'sentence broken'; sentence: string; detail: string }

/** What to show for a failure: what happened and the way out. */
export const failureSentences: Readonly<Record<SpeakingFailure['kind'], SentenceId>> = {
  'audio blocked': 'trouble.audio-blocked',
  'no audio': 'trouble.no-audio',
  'voice missing': 'trouble.voice-missing',
  'voice broken': 'trouble.voice-broken',
  'sentence broken': 'trouble.sentence-broken',
}

export class SpeakingError extends Error {
  readonly failure: SpeakingFailure
  constructor(failure: SpeakingFailure, options?: ErrorOptions) {
    super(`speaking: ${failure.kind}${'detail' in failure ? `: ${failure.detail}` : ''}`, options)
    this.name = 'SpeakingError'
    this.failure = failure
  }
}
