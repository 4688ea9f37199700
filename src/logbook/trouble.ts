import type { SentenceId, SentenceValues } from '../messages/cue.ts'

/** What can go wrong with the log. Each has its sentence; see {@link Trouble}. */
export type TroubleKind =
  /** the disk or the browser's share of it is full: the entry is held and tried again with the next one */
  | 'full'
  /** the browser keeps nothing: a private window, or storage is forbidden */
  | 'no storage'
  /** there was a log here and it, or its end, is gone */
  | 'evicted'
  /** the log was thrown out while it was open: what was logged last is held and put into the log when it is opened again */
  | 'gone'
  /** the log is open in another window */
  | 'in use'
  /** the clock stands before the last entry */
  | 'clock set back'
  /** the browser may throw the log away when space runs short */
  | 'not persistent'
  /** the store answered with an error that none of the others describes */
  | 'store failed'

export interface Trouble {
  kind: TroubleKind
  sentence: SentenceId
  values?: SentenceValues
}

const sentences: Record<TroubleKind, SentenceId> = {
  full: 'trouble.log-full',
  'no storage': 'trouble.no-storage',
  evicted: 'trouble.log-evicted',
  gone: 'trouble.log-gone',
  'in use': 'trouble.log-in-use',
  'clock set back': 'trouble.clock-set-back',
  'not persistent': 'trouble.not-persistent',
  'store failed': 'trouble.store-failed',
}

/** A trouble with its sentence. */
export function trouble(kind: TroubleKind, values?: SentenceValues): Trouble {
  return { kind, sentence: sentences[kind], ...(values && { values }) }
}

/** The log could not do what it was asked. `trouble` says why and what to say. */
export class LogbookError extends Error {
  readonly trouble: Trouble
  constructor(kind: TroubleKind, options?: { cause?: unknown; values?: SentenceValues }) {
    super(`logbook: ${kind}`, options?.cause === undefined ? undefined : { cause: options.cause })
    this.name = 'LogbookError'
    this.trouble = trouble(kind, options?.values)
  }
}
