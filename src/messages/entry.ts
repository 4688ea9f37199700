import type { Look, Liquid, Taste } from './command.ts'

/**
 * What the logbook keeps. Entries are only ever added: an undo or a correction is a new entry.
 * `at` is bar-clock seconds (see `clock.ts`). Masses in grams, volumes in millilitres, times in seconds.
 * `id` is given by the bar and is unique on its device; `taken back` and `corrected` name it.
 */
export type Entry = { id: string; at: number } & (
  | { kind: 'shift opened'; coffee: number; grinder: number; recipe: string; person?: number }
  | { kind: 'shift closed' }
  | { kind: 'recipe chosen'; recipe: string }
  | { kind: 'coffee chosen'; coffee: number }
  | { kind: 'grinder chosen'; grinder: number }
  | { kind: 'person chosen'; person: number }
  | { kind: 'new bag'; coffee: number }
  | { kind: 'grind moved'; /** positive is finer */ notches: number; notch: number; advised: number | null }
  | { kind: 'purged' }
  | {
      kind: 'shot'
      shot: string
      recipe: string
      coffee: number
      grinder: number
      person?: number
      /** pour from button to end */
      seconds: number
      windowOpens: number
      windowCloses: number
      notch: number
      dose?: number
      purged: boolean
      practice: boolean
    }
  | {
      kind: 'judged'
      shot: string
      looks: readonly Look[]
      tastes: readonly Taste[]
      action: string
      serve: boolean
    }
  | { kind: 'drink measured'; shot: string; grams?: number; millilitres?: number }
  | {
      kind: 'hand-off'
      shot: string
      outcome: 'served' | 'expired' | 'discarded'
      into?: Liquid
      /** seconds left when it was served; negative when late */
      margin: number
    }
  | { kind: 'drift warned'; shot: string; direction: 'slower' | 'faster' }
  | { kind: 'drill scored'; drill: string; person?: number; score: number; unit: string; passed: boolean }
  | { kind: 'setting changed'; setting: string; from: unknown; to: unknown }
  | { kind: 'lost'; what: 'pour' | 'hand-off'; shot?: string; since: number }
  | { kind: 'taken back'; entry: string }
  | { kind: 'corrected'; entry: string; seconds: number }
  | { kind: 'person erased'; person: number }
  | {
      /** a house recipe was made or changed: only what is given changes */
      kind: 'recipe set'
      recipe: string
      dose?: number
      yield?: { by: 'mass'; grams: number } | { by: 'volume'; millilitres: number }
      window?: { opens: number; closes: number }
      /** inner diameter of the basket, millimetres */
      basket?: number
    }
  | { kind: 'named'; what: 'coffee' | 'grinder' | 'person'; number: number; name: string }
)

export type EntryKind = Entry['kind']
