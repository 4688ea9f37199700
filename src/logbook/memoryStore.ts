import type { LogRecord } from './record.ts'
import type { Store } from './store.ts'

/** A store that forgets everything when the window closes: for a browser that keeps nothing, and for practice. */
export function memoryStore(): Store {
  const records = new Map<string, string>()
  const notes = new Map<string, string>()
  const changes: string[] = []
  return {
    async add(added, addedNotes) {
      for (const record of added) {
        if (records.has(record.id)) throw new Error(`record ${record.id} is already in the log`)
      }
      for (const record of added) {
        records.set(record.id, JSON.stringify(record))
        changes.push(record.id)
      }
      for (const note of addedNotes) notes.set(note.key, JSON.stringify(note.value))
    },
    async range({ from = '', to = '\uffff', limit = Infinity, descending = false }) {
      const ids = [...records.keys()].filter((id) => id >= from && id <= to).sort()
      if (descending) ids.reverse()
      return ids.slice(0, limit).map((id) => JSON.parse(records.get(id) ?? 'null') as LogRecord)
    },
    async get(ids) {
      return ids.flatMap((id) => {
        const text = records.get(id)
        return text === undefined ? [] : [JSON.parse(text) as LogRecord]
      })
    },
    async unread() {
      return { newer: 0, damaged: 0 }
    },
    async note(key) {
      const text = notes.get(key)
      return text === undefined ? undefined : (JSON.parse(text) as unknown)
    },
    async overwrite(changed) {
      for (const record of changed) {
        records.set(record.id, JSON.stringify(record))
        changes.push(record.id)
      }
    },
    async remove(ids) {
      for (const id of ids) {
        records.delete(id)
        changes.push(id)
      }
    },
    async mark() {
      return changes.length
    },
    async changedSince(since) {
      return { ids: [...new Set(changes.slice(since))], mark: changes.length }
    },
    async close() {},
  }
}
