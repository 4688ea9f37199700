import PouchDB from 'pouchdb-browser'
import indexeddbAdapter from 'pouchdb-adapter-indexeddb'
import { readRecord } from './checkRecord.ts'
import { isNewer, type LogRecord } from './record.ts'
import type { Note, Store } from './store.ts'
import { LogbookError } from './trouble.ts'

PouchDB.plugin(indexeddbAdapter)

/** A record as a document: its id is the document's. */
export type RecordDocument = Omit<LogRecord, 'id'>

/** The document of a record. */
function toDocument({ id, ...rest }: LogRecord): RecordDocument & { _id: string } {
  return { _id: id, ...rest }
}

/** The record of a document; `null` when it holds none that can be read. */
function toRecord({ _id, ...rest }: RecordDocument & { _id: string }): LogRecord | null {
  // what begins with an underscore is the database's own
  return readRecord({
    id: _id,
    ...Object.fromEntries(Object.entries(rest).filter(([key]) => !key.startsWith('_'))),
  })
}

/** What the adapter hangs on its database object and does not declare. */
interface AdapterInside {
  __opts: object
  _openTransactionSafely(
    stores: string[],
    mode: IDBTransactionMode,
    callback: (error: unknown, transaction?: IDBTransaction) => void,
  ): void
}

/** Record ids begin with a digit; design documents and the like do not. */
const firstId = '0'
const lastId = ':'

/** The database of a log, as replication needs it. */
export type RecordDatabase = PouchDB.Database<RecordDocument>

/**
 * A store in the browser's IndexedDB, through PouchDB. Only one window may have it open for writing: PouchDB keeps
 * its running number in memory, and two writers would give the same number twice.
 *
 * @throws LogbookError `no storage` when the browser gives none
 */
export async function openPouchStore(name: string): Promise<Store & { database: RecordDatabase }> {
  const database: RecordDatabase = new PouchDB(name, {
    adapter: 'indexeddb',
    auto_compaction: true,
    revs_limit: 20,
  })
  const connection = makeStrict(database as unknown as AdapterInside)
  try {
    if (await isThere(`_pouch_${name}`)) openAsItIs(database as unknown as AdapterInside)
    await database.info()
  } catch (cause) {
    throw new LogbookError('no storage', { cause })
  }
  const noteRevisions = new Map<string, string>()

  /** The trouble that a store's error stands for. */
  function storeError(cause: unknown): LogbookError {
    if (connection.gone) return new LogbookError('gone', { cause })
    const text = cause instanceof DOMException ? cause.name : JSON.stringify(cause)
    return new LogbookError(/quota/i.test(text ?? '') ? 'full' : 'store failed', { cause })
  }

  async function bulk(documents: { _id: string }[]): Promise<void> {
    connection.aborted = null
    let answers
    try {
      answers = await database.bulkDocs(documents as (RecordDocument & { _id: string })[])
    } catch (cause) {
      throw storeError(connection.aborted ?? cause)
    }
    for (const [i, answer] of answers.entries()) {
      const id = documents[i]?._id ?? ''
      if ('error' in answer) throw new LogbookError('store failed', { cause: { id, ...answer } })
      if (id.startsWith('_local/') && answer.rev) noteRevisions.set(id, answer.rev)
    }
  }

  async function readNote(key: string): Promise<{ text: string } | undefined> {
    const id = `_local/${key}`
    try {
      const document = (await database.get(id)) as unknown as { text: string; _rev: string }
      noteRevisions.set(id, document._rev)
      return document
    } catch (error) {
      if ((error as PouchDB.Core.Error).status === 404) {
        noteRevisions.delete(id)
        return undefined
      }
      throw storeError(error)
    }
  }

  /** Notes are kept as JSON text, so that whatever a snapshot holds comes back as it was. */
  function noteDocument({ key, value }: Note): { _id: string; text: string } {
    const id = `_local/${key}`
    const revision = noteRevisions.get(id)
    return { _id: id, ...(revision !== undefined && { _rev: revision }), text: JSON.stringify(value) }
  }

  return {
    database,
    async add(records, notes) {
      for (const { key } of notes) if (!noteRevisions.has(`_local/${key}`)) await readNote(key)
      await bulk([...records.map(toDocument), ...notes.map(noteDocument)])
    },
    async range({ from = firstId, to = lastId, limit, descending = false }) {
      const [startkey, endkey] = descending ? [to, from] : [from, to]
      const { rows } = await database
        .allDocs({ include_docs: true, startkey, endkey, descending, ...(limit !== undefined && { limit }) })
        .catch((error: unknown) => {
          throw storeError(error)
        })
      return recordsOf(rows)
    },
    async get(ids) {
      const { rows } = await database
        .allDocs({ include_docs: true, keys: [...ids] })
        .catch((error: unknown) => {
          throw storeError(error)
        })
      return recordsOf(rows)
    },
    async unread(ids) {
      const { rows } = await database
        .allDocs({ include_docs: true, keys: [...ids] })
        .catch((error: unknown) => {
          throw storeError(error)
        })
      const documents = rows.flatMap((row) => ('doc' in row && row.doc ? [row.doc] : []))
      const newer = documents.filter(isNewer).length
      return { newer, damaged: documents.length - newer - recordsOf(rows).length }
    },
    async note(key) {
      const found = await readNote(key)
      return found && (JSON.parse(found.text) as unknown)
    },
    async overwrite(records) {
      const { rows } = await database.allDocs({ keys: records.map((record) => record.id) })
      const revisions = new Map(
        rows.flatMap((row) => ('value' in row ? [[row.id, row.value.rev] as const] : [])),
      )
      await bulk(records.map((record) => ({ ...toDocument(record), _rev: revisions.get(record.id) })))
    },
    async remove(ids) {
      const { rows } = await database.allDocs({ keys: [...ids] })
      await bulk(
        rows.flatMap((row) =>
          'value' in row && !row.value.deleted ? [{ _id: row.id, _rev: row.value.rev, _deleted: true }] : [],
        ),
      )
    },
    async mark() {
      return Number((await database.info()).update_seq)
    },
    async changedSince(since) {
      const { results, last_seq: mark } = await database.changes({ since, live: false })
      return { ids: results.map((change) => change.id), mark: Number(mark) }
    },
    async close() {
      await database.close()
    },
  }
}

/** Whether the browser has a database of this name. */
async function isThere(name: string): Promise<boolean> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(name)
    let isNew = false
    request.onupgradeneeded = () => {
      isNew = true
      // nothing is left of it
      request.transaction?.abort()
    }
    request.onsuccess = () => {
      request.result.close()
      resolve(true)
    }
    request.onerror = () => (isNew ? resolve(false) : reject(request.error))
  })
}

/**
 * Has the adapter open a database with whatever version it has. By itself it asks for a version made of the time of
 * day, so a clock that was set back makes it ask for an older one than there is, which IndexedDB refuses: the log would
 * be out of reach until the clock has caught up. The version only matters to indexes of design documents, of which a
 * log has none here.
 */
function openAsItIs(inside: AdapterInside): void {
  Object.defineProperty(inside.__opts, 'versionChangedWhileOpen', {
    get: () => true,
    // it clears the mark before each opening
    set: () => undefined,
  })
}

function recordsOf(rows: readonly object[]): LogRecord[] {
  return rows.flatMap((row) => {
    const record = 'doc' in row && row.doc ? toRecord(row.doc as RecordDocument & { _id: string }) : null
    return record ? [record] : []
  })
}

/**
 * Makes the adapter's writes safe from a power cut: browsers report a transaction as complete once the operating
 * system has it, unless the transaction asks for `strict` durability, and the adapter does not ask. Also keeps the
 * reason of an aborted transaction, which the adapter drops, and notices when the browser throws the database out.
 */
function makeStrict(inside: AdapterInside): Connection {
  const connection: Connection = { aborted: null, gone: false }
  const watched = new WeakSet<IDBDatabase>()
  const open = inside._openTransactionSafely.bind(inside)
  inside._openTransactionSafely = (stores, mode, callback) => {
    // the adapter's own transaction only leads to its connection; nothing is asked of it
    open(stores, 'readonly', (error, probe) => {
      if (!probe) return callback(error)
      if (!watched.has(probe.db)) {
        watched.add(probe.db)
        probe.db.addEventListener('close', () => {
          connection.gone = true
        })
      }
      let transaction
      try {
        transaction = probe.db.transaction(stores, mode, { durability: 'strict' })
      } catch (cause) {
        return callback(cause)
      }
      transaction.addEventListener('abort', () => {
        connection.aborted = transaction.error
      })
      callback(undefined, transaction)
    })
  }
  return connection
}

interface Connection {
  /** why the last transaction was aborted */
  aborted: DOMException | null
  /** the browser closed it, as it does when it throws the database out */
  gone: boolean
}
