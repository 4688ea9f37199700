import type { Group } from './command.ts'
import type sentences from '../../grammar/en/sentences.json'

/**
 * Key of a sentence in `grammar/<language>/sentences.json`, or of a drill's own text in
 * `grammar/<language>/drills/*.json` (`drill.<drill>.<step>.<part>`).
 */
export type SentenceId = keyof typeof sentences | `drill.${string}`

/** Highest first. A warning cuts in; a stale prompt is dropped, not queued. */
export const priorities = ['warning', 'mark', 'answer', 'prompt'] as const
export type Priority = (typeof priorities)[number]

/** Short sounds. Told apart by rhythm and length, not by pitch alone; at or below 2.5 kHz. */
export const earcons = ['heard', 'not understood', 'logged', 'tick', 'warning', 'limit', 'trouble'] as const
export type Earcon = (typeof earcons)[number]

/**
 * Values for a sentence's placeholders: numbers are read out, words are keys of the sentence file, and a list holds
 * words of the grammars, or commands made of them.
 */
export type SentenceValues = Readonly<Record<string, number | SentenceId | readonly string[]>>

/**
 * What the bar wants heard. `at` is a bar-clock time; without it, as soon as priorities allow.
 * `tag` groups cues so that `cancel` can take back what has not sounded yet.
 */
export type Cue =
  | {
      kind: 'say'
      sentence: SentenceId
      values?: SentenceValues
      priority: Priority
      at?: number
      /** drop it when it could not start by this bar time */
      expires?: number
      /** the side of the stereo it comes from: that of the group it is about */
      side?: Group
      tag?: string
    }
  | {
      kind: 'earcon'
      earcon: Earcon
      at?: number
      /** which of several running clocks it belongs to, from 1: sets pitch and rhythm */
      voice?: number
      side?: Group
      tag?: string
    }
  | {
      /** practice without coffee: the simulated bench's pour, as it would sound */
      kind: 'pour sound'
      at: number
      seconds: number
      flow: 'dripping' | 'right' | 'gushing'
      tag: string
    }
  | { kind: 'cancel'; tag: string }
  /** be quiet: drop prompts, or answers and prompts, spoken or queued; warnings and marks stay */
  | { kind: 'hush'; only?: 'prompts' }
  | { kind: 'again'; slower: boolean; spelled: boolean }
