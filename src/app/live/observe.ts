import type { Command } from '../../messages/command.ts'
import type { Earcon, SentenceId, SentenceValues } from '../../messages/cue.ts'
import type { Entry } from '../../messages/entry.ts'
import type { GrammarName } from '../../messages/grammarName.ts'
import type { NotObeyed } from '../../messages/utterance.ts'

/** What went in and what came out, as tests and rehearsals see it. `at` is bar-clock seconds. */
export type Observation = { at: number } &
  /** a command was made of speech, a key, touch or a pedal */
  (
    | { kind: 'heard'; command: Command }
    /** something was said that is no command here */
    | { kind: 'rejected'; heard: string; reason: NotObeyed; onset: number; end: number }
    /** a sentence begins to sound at `at` and is over at `until`, unless it is cut short; or it is left to the screen */
    | { kind: 'said'; sentence: SentenceId; text: string; until: number; spoken: boolean }
    /** the voice itself fails: the sentence can only be read */
    | { kind: 'not said'; sentence: SentenceId }
    /** something is wrong, and why: said aloud where there is sound, and shown until somebody acts */
    | { kind: 'trouble'; sentence: SentenceId; values?: SentenceValues }
    /** share of the recognition model that has arrived, 0 to 1 */
    | { kind: 'loading'; share: number }
    | { kind: 'sounded'; earcon: Earcon }
    | { kind: 'logged'; entry: Entry }
    /** the state of the bar, its outer states first: `open.pull.pouring` */
    | { kind: 'state'; state: string; grammars: readonly GrammarName[] }
    /** whether speech is being listened to; `trouble` names why not */
    | { kind: 'listening'; listening: 'on' | 'paused' | 'off'; trouble?: SentenceId }
  )

export type Observer = (observation: Observation) => void

/**
 * The one door through which tests and rehearsals watch the running app: `window.earshot`. It only reports; nothing
 * can be done to the app through it. What an observer gets is a copy of its own, and one that throws is only logged.
 */
export interface Observable {
  /** Calls the observer for everything from now on. @returns a function that stops that */
  observe(observer: Observer): () => void
}

declare global {
  interface Window {
    earshot?: Observable
  }
}

/** Makes the door and the function that the app reports to. */
export function createObservable(): { observable: Observable; report: Observer } {
  const observers = new Set<Observer>()
  return {
    observable: Object.freeze<Observable>({
      observe(observer) {
        observers.add(observer)
        return () => observers.delete(observer)
      },
    }),
    report(observation) {
      for (const observer of observers)
        try {
          observer(structuredClone(observation))
        } catch (error) {
          console.error('an observer failed', error)
        }
    },
  }
}
