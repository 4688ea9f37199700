import { checkRecord } from './checkRecord.ts'
import { afterErasures } from './erase.ts'
import type { Logbook } from './logbook.ts'
import type { RecordDatabase, RecordDocument } from './pouchStore.ts'
import { readRecordId, type LogRecord } from './record.ts'
import { sameRecord } from './sameRecord.ts'

/** Incoming documents as replication hands them over. */
type Incoming = Partial<RecordDocument> & { _id: string; _deleted?: boolean }

/** What the server has in place of an entry that it altered: `null` for one that it removed. */
type Altered = Record<string, LogRecord | null>

const noteKey = 'altered'

/** At most so many are remembered one by one; a server that alters more has altered enough to be looked at. */
const mostRemembered = 1000

/** The log's database as replication's target, and what came for it that was not taken. */
export interface GuardedTarget {
  target: RecordDatabase
  /** entries that the server has altered or removed; the log keeps its own */
  altered(): number
  /** Looks again at what was altered, once erasures came in that may explain it. */
  lookAgain(): Promise<void>
}

/**
 * Guards a log against a server that alters it. Records are written once and by one device, so whatever comes in under
 * a known id must say the same; the one exception is what an erasure in the log leaves of it. Anything else is refused,
 * remembered and counted, and the first stays.
 *
 * @param onAltered called when the count has changed
 */
export async function guardTarget(log: Logbook, onAltered: () => void): Promise<GuardedTarget> {
  const { database, store, days } = log
  if (!database) throw new TypeError('a log that keeps nothing has no database')
  const altered: Altered = ((await store.note(noteKey)) as Altered | undefined) ?? {}

  async function remember(): Promise<void> {
    await store.add([], [{ key: noteKey, value: altered }])
    onAltered()
  }

  /** Whether one may be written, is passed over because it changes nothing, or is refused. */
  function judge(incoming: Incoming, here: LogRecord | undefined, erasures: readonly LogRecord[]) {
    if (!readRecordId(incoming._id)) return 'refuse'
    if (!here) return 'write'
    const left = afterErasures(here, erasures)
    if (incoming._deleted) return left === null ? 'write' : 'refuse'
    const record = recordOf(incoming)
    if (!record) return 'refuse'
    if (sameRecord(here, record) || (left && sameRecord(left, record))) return 'write'
    // what the log has erased already, and the server has not
    const theirs = afterErasures(record, erasures)
    return theirs === null || sameRecord(theirs, here) ? 'pass over' : 'refuse'
  }

  async function take(documents: readonly Incoming[]) {
    const records = documents.flatMap((each) => recordOf(each) ?? [])
    const erasures = [...(await days.standing()), ...records]
    const here = new Map((await store.get(documents.map(({ _id }) => _id))).map((each) => [each.id, each]))
    const before = JSON.stringify(altered)
    const judged = documents.map((document) => {
      const known = here.get(document._id)
      const verdict = judge(document, known, erasures)
      if (verdict !== 'refuse') delete altered[document._id]
      else if (known && Object.keys(altered).length < mostRemembered)
        altered[document._id] = document._deleted ? null : recordOf(document)
      return verdict
    })
    if (JSON.stringify(altered) !== before) await remember()
    return judged
  }

  async function bulkDocs(given: { docs: Incoming[]; new_edits?: boolean }, options?: object) {
    if (!database) return []
    const judged = await take(given.docs)
    const docs = given.docs.filter((_, i) => judged[i] === 'write')
    const answers = docs.length > 0 ? await database.bulkDocs({ ...given, docs } as never, options) : []
    const refused = given.docs
      .filter((_, i) => judged[i] === 'refuse')
      .map(({ _id }) => ({ id: _id, error: true, name: 'forbidden', status: 403, message: 'kept the first' }))
    return [...answers, ...refused]
  }

  return {
    target: new Proxy(database, {
      get(inside, key) {
        if (key === 'bulkDocs') return bulkDocs
        const value: unknown = Reflect.get(inside, key)
        return typeof value === 'function' ? (value.bind(inside) as unknown) : value
      },
    }),
    altered: () => Object.keys(altered).length,
    async lookAgain() {
      const ids = Object.keys(altered)
      if (ids.length === 0) return
      const here = new Map((await store.get(ids)).map((each) => [each.id, each]))
      const explained = ids.filter((id) => {
        const [ours, theirs] = [here.get(id), altered[id]]
        return !ours || (theirs && sameRecord(ours, theirs))
      })
      for (const id of explained) delete altered[id]
      if (explained.length > 0) await remember()
    },
  }
}

/** The record of an incoming document; `null` when it holds none that can be read. */
function recordOf(document: Incoming): LogRecord | null {
  const own = Object.entries(document).filter(([key]) => !key.startsWith('_'))
  const checked = checkRecord({ id: document._id, ...Object.fromEntries(own) })
  return 'record' in checked ? checked.record : null
}
