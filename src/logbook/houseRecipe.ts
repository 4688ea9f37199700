import type { Entry } from '../messages/entry.ts'
import { effective } from './effective.ts'
import type { LogRecord } from './record.ts'

type RecipeSet = Extract<Entry, { kind: 'recipe set' }>

const fields = ['dose', 'yield', 'window', 'basket'] as const
export type Field = (typeof fields)[number]

/** The log's order; what stands over days may come in any. */
const inOrder = (records: readonly LogRecord[]) => records.toSorted((a, b) => (a.id < b.id ? -1 : 1))

/** A house recipe as it stands, after all its changes on all devices. */
export interface RecipeCard {
  recipe: string
  values: Pick<RecipeSet, Field>
  /** fields that devices changed without knowing of each other: what holds, and what was set aside */
  contested: { field: Field; holds: LogRecord; aside: LogRecord }[]
}

/**
 * House recipes as they stand. The rule when devices changed one without knowing of each other: each field by itself
 * (the window's two ends are one field) holds what was written last, by the log's order; on the same millisecond the
 * device whose name sorts last. Every device that has the same records comes to the same recipe. Nothing is lost:
 * what was set aside stays in the log and is shown.
 */
export function recipeCards(records: readonly LogRecord[]): RecipeCard[] {
  const sets = effective(inOrder(records)).filter((record) => record.entry.kind === 'recipe set')
  const byId = new Map(sets.map((record) => [record.id, record]))
  const cards = new Map<string, RecipeCard>()
  const writers = new Map<string, LogRecord>()
  for (const record of sets) {
    const entry = record.entry as RecipeSet
    const card = cards.get(entry.recipe) ?? { recipe: entry.recipe, values: {}, contested: [] }
    cards.set(entry.recipe, card)
    for (const field of fields) {
      if (entry[field] === undefined) continue
      const key = `${entry.recipe} ${field}`
      const before = writers.get(key)
      card.contested = card.contested.filter(
        (each) => each.field !== field || !knewOf(record, each.holds, byId),
      )
      if (before && !knewOf(record, before, byId))
        card.contested.push({ field, holds: record, aside: before })
      writers.set(key, record)
      card.values = { ...card.values, [field]: entry[field] }
    }
  }
  return [...cards.values()]
}

/**
 * The record that a change of a recipe is made from: the last in the log's order that sets one of the same fields, or,
 * when there is none, the last of that recipe. So a change of a contested field knows of what holds there.
 */
export function lastSet(change: RecipeSet, records: readonly LogRecord[]): LogRecord | undefined {
  const sets = inOrder(records).filter(
    ({ entry }) => entry.kind === 'recipe set' && entry.recipe === change.recipe,
  )
  const touches = ({ entry }: LogRecord) =>
    fields.some((field) => change[field] !== undefined && (entry as RecipeSet)[field] !== undefined)
  return sets.findLast(touches) ?? sets.at(-1)
}

/** Whether a change was made knowing of an earlier one: its own device's, or by way of what it was changed from. */
function knewOf(record: LogRecord, earlier: LogRecord, byId: ReadonlyMap<string, LogRecord>): boolean {
  // records of other devices may name each other in a circle
  const seen = new Set<string>()
  let at: LogRecord | undefined = record
  while (at && !seen.has(at.id)) {
    if (at.id === earlier.id) return true
    seen.add(at.id)
    at = at.of === undefined ? undefined : byId.get(at.of)
  }
  return record.device === earlier.device
}

/** The names given to coffees, grinders and people: the last one given, in the log's order, holds. */
export function names(records: readonly LogRecord[]): { what: string; number: number; name: string }[] {
  const byNumber = new Map<string, { what: string; number: number; name: string }>()
  for (const { entry } of effective(inOrder(records))) {
    if (entry.kind === 'named') {
      const { what, number, name } = entry
      byNumber.set(`${what} ${number}`, { what, number, name })
    }
  }
  return [...byNumber.values()]
}
