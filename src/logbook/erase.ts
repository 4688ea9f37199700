import type { Entry } from '../messages/entry.ts'
import type { SentenceId } from '../messages/cue.ts'
import type { LogRecord } from './record.ts'
import type { Store } from './store.ts'

/** What an erasure did. */
export interface Erasure {
  /** records that stay, without the person */
  changed: number
  /** records that are gone */
  removed: number
  /** what an erasure cannot reach, to be told */
  unreached: readonly SentenceId[]
}

/**
 * What is left of a record once a person is erased: a shot or a shift stays in the bar's figures without the person;
 * what tells of the person only (name, drills, who was chosen) goes.
 *
 * @returns the record itself when it says nothing of the person; `null` when nothing of it may stay
 */
function withoutPerson(record: LogRecord, person: number): LogRecord | null {
  const { entry } = record
  if (entry.kind === 'named' && entry.what === 'person' && entry.number === person) return null
  if (!('person' in entry) || entry.person !== person || entry.kind === 'person erased') return record
  if (entry.kind === 'person chosen' || entry.kind === 'drill scored') return null
  const { person: _person, ...rest } = entry
  return { ...record, entry: rest as Entry }
}

/** What is left of a record after all erasures of its bar that are later than it; see {@link withoutPerson}. */
export function afterErasures(record: LogRecord, erasures: readonly LogRecord[]): LogRecord | null {
  let left: LogRecord | null = record
  for (const { bar, entry } of erasures) {
    if (left === null) break
    if (entry.kind === 'person erased' && bar === record.bar && entry.at >= record.entry.at)
      left = withoutPerson(left, entry.person)
  }
  return left
}

/**
 * Erases a person's data from a bar's records up to the moment that the entry names: later records are of whoever
 * has the number then. Doing it twice does no harm.
 */
export async function eraseNow(
  store: Store,
  bar: string,
  { person, at }: { person: number; at: number },
): Promise<Omit<Erasure, 'unreached'>> {
  let changed = 0
  let removed = 0
  let from: string | undefined
  for (;;) {
    const batch = await store.range({ ...(from !== undefined && { from }), limit: 1000 })
    const overwritten: LogRecord[] = []
    const gone: string[] = []
    for (const record of batch) {
      if (record.bar !== bar || record.entry.at > at) continue
      const left = withoutPerson(record, person)
      if (left === null) gone.push(record.id)
      else if (left !== record) overwritten.push(left)
    }
    if (overwritten.length > 0) await store.overwrite(overwritten)
    if (gone.length > 0) await store.remove(gone)
    changed += overwritten.length
    removed += gone.length
    const last = batch.at(-1)
    if (!last || batch.length < 1000) break
    from = `${last.id}\uffff`
  }
  return { changed, removed }
}

/**
 * Carries out erasures on records that came from another device: those known before, on the new records; and new ones,
 * on the whole log.
 *
 * @param records that came in and are stored
 * @param standing what the log holds of erasures, with those that came in
 */
export async function eraseAgain(
  store: Store,
  records: readonly LogRecord[],
  standing: readonly LogRecord[],
): Promise<void> {
  const overwritten: LogRecord[] = []
  const gone: string[] = []
  for (const record of records) {
    const left = afterErasures(record, standing)
    if (left === null) gone.push(record.id)
    else if (left !== record) overwritten.push(left)
  }
  if (overwritten.length > 0) await store.overwrite(overwritten)
  if (gone.length > 0) await store.remove(gone)
  for (const { bar, entry } of records) if (entry.kind === 'person erased') await eraseNow(store, bar, entry)
}
