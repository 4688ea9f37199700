import { createContext } from 'svelte'
import type { Meaning } from '../../messages/command.ts'
import type { Companion } from '../companion.ts'
import type { Control } from '../controls/controls.ts'
import type { ModelLink } from '../live/modelLink.svelte.ts'
import type { ServerLink } from '../live/serverLink.svelte.ts'
import type { Standing } from '../live/standing.svelte.ts'
import type { BarView } from '../live/watchBar.svelte.ts'
import type { Words } from './words.ts'

/** What every part of the screen may use once the tool runs. */
export interface Screen {
  readonly words: Words
  readonly companion: Companion
  readonly view: BarView
  readonly server: ServerLink
  readonly model: ModelLink
  readonly standing: Standing
  /** what the space bar, the pedal and the big button do now */
  readonly likely: Control
  /** gives a command, as pressed on the screen */
  give(meaning: Meaning): void
  /** does what a control stands for: gives its command, or asks for what it needs */
  press(control: Control): void
}

export const [getScreen, setScreen] = createContext<Screen>()

/** The texts alone: they are there before the tool runs. */
export const [getWords, setWords] = createContext<Words>()
