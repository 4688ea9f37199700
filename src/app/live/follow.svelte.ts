import type { Command } from '../../messages/command.ts'
import type { Observation } from './observe.ts'
import type { Words } from '../words/words.ts'

/** What the screen shows of what came in and went out last. */
export interface Heard {
  readonly command: Command | null
  /** as it was understood, or that it was not */
  readonly words: string
  readonly said: string
  /** the last sentence that the announcer left to a screen reader */
  readonly unspoken: string
  /** what cannot be said aloud, to be read */
  readonly unsaid: string
  /** what went wrong last, until somebody acts */
  readonly trouble: string
  /** why nothing is heard; empty while it is */
  readonly deaf: string
  /** share of the recognition model that has arrived, 0 to 1; `null` before */
  readonly loading: number | null
  /** entries logged so far */
  readonly logged: number
}

/** Keeps the last of everything that is observed. */
export function followObservations(words: Words): { heard: Heard; note(observation: Observation): void } {
  let command = $state.raw<Command | null>(null)
  let text = $state('')
  let said = $state('')
  let unspoken = $state('')
  let unsaid = $state('')
  let trouble = $state('')
  let deaf = $state('')
  let loading = $state<number | null>(null)
  let logged = $state(0)
  return {
    heard: {
      get command() {
        return command
      },
      get words() {
        return text
      },
      get said() {
        return said
      },
      get unspoken() {
        return unspoken
      },
      get unsaid() {
        return unsaid
      },
      get trouble() {
        return trouble
      },
      get deaf() {
        return deaf
      },
      get loading() {
        return loading
      },
      get logged() {
        return logged
      },
    },
    note(observation) {
      switch (observation.kind) {
        case 'heard':
          command = observation.command
          trouble = ''
          if (command.source === 'voice') text = command.heard
          break
        case 'rejected':
          text = words('heard.not', { text: observation.heard })
          break
        case 'said':
          said = observation.text
          if (!observation.spoken) unspoken = observation.text
          if (observation.spoken) unsaid = ''
          break
        case 'not said':
          unsaid = words.sentence(observation.sentence)
          break
        case 'trouble':
          trouble = words.sentence(observation.sentence, observation.values)
          break
        case 'listening':
          deaf = observation.trouble ? words.sentence(observation.trouble) : ''
          break
        case 'loading':
          loading = observation.share
          break
        case 'logged':
          logged += 1
          break
        case 'sounded':
        case 'state':
      }
    },
  }
}
