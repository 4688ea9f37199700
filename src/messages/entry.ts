import * as v from 'valibot'
import { destinations, looks, tastes } from './command.ts'

/*
 * What the logbook keeps. Entries are only ever added: an undo or a correction is a new entry.
 * `at` is bar-clock seconds (see `clock.ts`). Masses in grams, volumes in millilitres, times in seconds.
 * `id` is given by the bar and is unique on its device; `taken back` and `corrected` name it.
 *
 * The type is made from the schema, so the two cannot differ. Which numbers make sense for a bar is checked by
 * `src/logbook/entryRanges.ts`.
 */

/** Whether a text can be kept in every form of the log: no half of a character, and no NUL, which no text file may hold. */
const isWritable = (value: string) => !/[\p{Surrogate}\0]/u.test(value)

/** Words and ids are short; a longer one is a mistake or an attack. */
const text = v.pipe(v.string(), v.maxLength(200), v.check(isWritable, 'holds what cannot be written'))
const named = v.pipe(text, v.minLength(1))
/** JSON has no minus zero. */
const number = v.pipe(
  v.number(),
  v.finite(),
  v.transform((value) => value + 0),
)
const count = v.pipe(number, v.integer(), v.minValue(0), v.maxValue(1_000_000))
const positive = v.pipe(number, v.minValue(0), v.maxValue(100_000))
/** Seconds since the Unix epoch that a record's id can hold. */
const moment = v.pipe(number, v.minValue(0), v.maxValue(9_999_999_999))

/** A value that JSON can carry, not nested without end. */
const plain = v.pipe(
  v.unknown(),
  v.check((value) => isPlain(value, 4), 'is not a plain value'),
)

/** Names that reach behind an object when code copies it carelessly. */
const forbiddenKeys = new Set(['__proto__', 'constructor', 'prototype'])

function isPlain(value: unknown, depth: number): boolean {
  if (value === null || typeof value === 'boolean') return true
  if (typeof value === 'string') return value.length <= 2000 && isWritable(value)
  if (typeof value === 'number') return Number.isFinite(value)
  if (typeof value !== 'object' || depth === 0) return false
  if (Array.isArray(value)) return value.every((part) => isPlain(part, depth - 1))
  return Object.entries(value).every(
    ([key, part]) => !forbiddenKeys.has(key) && isWritable(key) && isPlain(part, depth - 1),
  )
}

const start = { id: named, at: moment }
const shot = { shot: named }

const byKind = {
  'shift opened': { coffee: count, grinder: count, recipe: named, person: v.optional(count) },
  'shift closed': {},
  'recipe chosen': { recipe: named },
  'coffee chosen': { coffee: count },
  'grinder chosen': { grinder: count },
  'person chosen': { person: count },
  'new bag': { coffee: count },
  roasted: { coffee: count, /** before the entry */ days: count },
  'room read': {
    /** degrees Celsius */ temperature: v.optional(number),
    /** percent */ humidity: v.optional(positive),
  },
  'grind moved': { /** positive is finer */ notches: number, notch: number, advised: v.nullable(number) },
  purged: {},
  shot: {
    ...shot,
    recipe: named,
    coffee: count,
    grinder: count,
    person: v.optional(count),
    /** pour from button to end */
    seconds: positive,
    windowOpens: positive,
    windowCloses: positive,
    notch: number,
    dose: v.optional(positive),
    /** seconds from the button to the first drip */
    firstDrip: v.optional(positive),
    purged: v.boolean(),
    practice: v.boolean(),
  },
  judged: {
    ...shot,
    looks: v.pipe(v.array(v.picklist(looks)), v.maxLength(looks.length), v.readonly()),
    tastes: v.pipe(v.array(v.picklist(tastes)), v.maxLength(tastes.length), v.readonly()),
    action: text,
    serve: v.boolean(),
  },
  'drink measured': { ...shot, grams: v.optional(positive), millilitres: v.optional(positive) },
  'strength measured': { ...shot, /** dissolved coffee by mass */ percent: positive },
  'hand-off': {
    ...shot,
    outcome: v.picklist(['served', 'expired', 'discarded']),
    into: v.optional(v.picklist(destinations)),
    /** seconds left when it was served; negative when late */
    margin: number,
  },
  'drift warned': { ...shot, direction: v.picklist(['slower', 'faster']) },
  'drill scored': { drill: named, person: v.optional(count), score: number, unit: text, passed: v.boolean() },
  'setting changed': { setting: named, from: plain, to: plain },
  lost: { what: v.picklist(['pour', 'hand-off']), shot: v.optional(named), since: moment },
  /** an event that the bar could not do: it went on as if it had not come */
  fault: { during: named, message: text },
  'taken back': { entry: named },
  corrected: { entry: named, seconds: positive },
  'person erased': { person: count },
  /** a house recipe was made or changed: only what is given changes */
  'recipe set': {
    recipe: named,
    dose: v.optional(positive),
    yield: v.optional(
      v.variant('by', [
        v.strictObject({ by: v.literal('mass'), grams: positive }),
        v.strictObject({ by: v.literal('volume'), millilitres: positive }),
      ]),
    ),
    window: v.optional(v.strictObject({ opens: positive, closes: positive })),
    /** inner diameter of the basket, millimetres */
    basket: v.optional(positive),
  },
  named: { what: v.picklist(['coffee', 'grinder', 'person']), number: count, name: named },
} satisfies Record<string, v.ObjectEntries>

type ByKind = typeof byKind
type Fields<Entries extends v.ObjectEntries> = v.InferOutput<v.StrictObjectSchema<Entries, undefined>>

export type EntryKind = keyof ByKind

/** See above. */
export type Entry = Fields<typeof start> & { [K in EntryKind]: { kind: K } & Fields<ByKind[K]> }[EntryKind]

const kinds = Object.keys(byKind) as [EntryKind, ...EntryKind[]]

/** Every kind of entry, so that files can be checked and documented from one place. */
export const entryKinds: readonly EntryKind[] = kinds

/** The fields of a kind of entry, without `kind`, in their written order. */
export function fieldsOf(kind: EntryKind): string[] {
  return [...Object.keys(start), ...Object.keys(byKind[kind])]
}

/** Whether a kind of entry may do without a field. */
export function isOptional(kind: EntryKind, field: string): boolean {
  const entries: Readonly<Record<string, { type: string }>> = byKind[kind]
  return entries[field]?.type === 'optional'
}

/** An entry with nothing missing and nothing besides: an unknown field is an error, not dropped. */
export const entryShape = v.variant('kind', [
  ...kinds.map((kind) => v.strictObject({ kind: v.literal(kind), ...start, ...byKind[kind] })),
]) as v.GenericSchema<unknown, Entry>
