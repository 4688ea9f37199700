import type { Position } from './errors.ts'

/** What may be said, as written on the right of a rule (section 4 of the W3C Note). */
export type Expansion =
  | { kind: 'word'; text: string; at: Position }
  | { kind: 'rule'; name: string; at: Position }
  | { kind: 'sequence'; parts: readonly Expansion[] }
  | { kind: 'alternatives'; choices: readonly Choice[] }
  | { kind: 'optional'; inner: Expansion }
  | { kind: 'repeated'; inner: Expansion; /** 0 for the Kleene star, 1 for the plus */ atLeast: 0 | 1 }
  | { kind: 'tagged'; inner: Expansion; tag: string; at: Position }

export interface Choice {
  /** how likely among the choices beside it; 1 where none is written; 0 is never said */
  weight: number
  expansion: Expansion
}

export interface Rule {
  /** as written where it is defined; fully qualified once linked */
  name: string
  public: boolean
  expansion: Expansion
  at: Position
}

export interface Import {
  /** a fully qualified rulename, or a grammar name and `.*` */
  name: string
  at: Position
}

export interface Grammar {
  /** with its package: `com.acme.politeness` */
  name: string
  version: string
  encoding: string | null
  locale: string | null
  imports: readonly Import[]
  rules: readonly Rule[]
}

/** Rules that need no definition (section 2.2.3): said by silence, and never said. */
export const nullRule = 'NULL'
export const voidRule = 'VOID'
