import * as v from 'valibot'
import type { SentenceId } from '../messages/cue.ts'
import type { Entry } from '../messages/entry.ts'
import { lastSet } from './houseRecipe.ts'
import { isStanding, openDays, type Days } from './dailySummaries.ts'
import { effectOf, isAmendment, withAmendments } from './effect.ts'
import { afterErasures, eraseAgain, eraseNow, type Erasure } from './erase.ts'
import { markLog, readMark } from './logMark.ts'
import type { RecordDatabase } from './pouchStore.ts'
import { newest, recordsIn, type Stretch } from './query.ts'
import {
  isDeviceName,
  largestSequence,
  readRecordId,
  recordId,
  recordVersion,
  stampOf,
  wallTime,
  type LogRecord,
} from './record.ts'
import { sameRecord } from './sameRecord.ts'
import { rescue, rescued, type Rescued, type SavedSnapshot } from './rescue.ts'
import { describeIssues, entrySchema } from './schema.ts'
import { clockTolerance, nextStamp } from './hybridClock.ts'
import { createSlices } from './slices.ts'
import type { Note, Store } from './store.ts'
import { trouble, type Trouble } from './trouble.ts'

export interface LogbookOptions {
  /** names the database in this browser */
  name?: string
  /** the bar whose log it is: lower-case letters, digits and hyphens */
  bar?: string
  /** this device, 4 to 16 lower-case letters and digits; without it, the log's own from before, or a new random one */
  device?: string
  /** wait until no other window has the log open, instead of failing with `in use` */
  wait?: boolean
  /** wall clock in milliseconds */
  clock?: () => number
}

export interface LoadedSnapshot {
  snapshot: unknown
  /** entries of this device in the log that the snapshot does not know of: 0 unless some were logged without it */
  missed: number
}

export interface Logbook {
  readonly bar: string
  readonly device: string
  /** what was noticed on opening, to be told once */
  readonly troubles: readonly Trouble[]
  /** entries given to {@link append} that are not safe yet because the store failed; tried again with the next append */
  readonly unsaved: readonly Entry[]
  /** entries in the log that a newer program wrote: they are kept, and cannot be read here */
  readonly newer: number
  /** entries in the log that are not whole, from another device or from an older program: they are kept, and left out */
  readonly damaged: number
  /** the database, for replication; `null` when nothing is kept */
  readonly database: RecordDatabase | null
  readonly store: Store
  /** the log by days, for charts over weeks and years, and its house recipes and names */
  readonly days: Days
  /**
   * Adds entries, all or none, and with them, in the same transaction, the machine's snapshot after them.
   * Resolves when they are safe from a killed process and a power cut: only then may they be called logged.
   * When the store fails the entries are held and tried again before the next ones: do not append them again.
   * An entry `person erased` also erases, see {@link erase}.
   *
   * @throws LogbookError `full`, `store failed`
   * @throws TypeError for an entry that is not one, or that takes back or corrects what is not in the log; nothing is logged then
   */
  append(entries: Entry | readonly Entry[], snapshot?: unknown): Promise<readonly LogRecord[]>
  /** Records of a stretch of time, in the log's order, as they were written: see `effective.ts` for what holds. */
  entries(stretch?: Stretch): Promise<readonly LogRecord[]>
  /** The records from the last `shift opened` on; everything of the last day when none is found. */
  shift(): Promise<readonly LogRecord[]>
  /** Keeps the machine's state as of everything appended so far. */
  saveSnapshot(snapshot: unknown): Promise<void>
  /** The last snapshot kept, or `null`. */
  loadSnapshot(): Promise<LoadedSnapshot | null>
  /**
   * Logs that a person's data is erased, with the machine's snapshot, and erases it in this log. Says what was done and
   * what cannot be reached.
   */
  erase(entry: Extract<Entry, { kind: 'person erased' }>, snapshot?: unknown): Promise<Erasure>
  /** Those of these records whose id the log has with other content. */
  differing(records: readonly LogRecord[]): Promise<LogRecord[]>
  /**
   * Adds records from elsewhere, all or none, but for those that the log has already and what tells of erased people.
   *
   * @throws LogbookError when the store fails
   * @throws Cancelled when the signal ends it; what was added is taken out again
   */
  merge(
    records: readonly LogRecord[],
    options?: MergeOptions,
  ): Promise<{ added: number; already: number; erased: number }>
  /**
   * Does what replication's work asks for: what is logged from now on comes after what came in, and erasures hold for
   * it. To be called after records came in, and once before replication starts.
   */
  takeIn(): Promise<void>
  /**
   * Calls the listener when what holds beyond the shift may have changed: names, house recipes, erasures, and
   * {@link newer}; by entries of this device, by replication, or from a file. @returns a function that ends that
   */
  onStanding(listener: () => void): () => void
  close(): Promise<void>
}

export interface MergeOptions {
  signal?: AbortSignal
  /** called with the share that is done, 0 to 1 */
  onProgress?: (share: number) => void
}

/** Where this device stands in its log; written in the same transaction as the records. */
interface Position {
  /** of this device's last record; 0 for none */
  sequence: number
  /** milliseconds: the last stamp given or seen */
  stamp: number
  /** id of this device's last `shift opened` */
  shift: string | null
}

/** What of the log cannot be read here, as counted by a program of this version up to a mark. */
interface UnreadEntries {
  version: number
  mark: number
  /** a newer program wrote them */
  newer: number
  /** they are not whole */
  damaged: number
}

/** How many of the last records are remembered, so that an undo finds its entry without looking in the store. */
const recentKept = 500

export interface Surroundings {
  troubles: Trouble[]
  /** where the log's mark is kept, outside its database */
  mark?: string
  release?: () => void
}

/** Starts a log on a store. */
export async function startLogbook(
  store: Store,
  database: RecordDatabase | null,
  options: LogbookOptions,
  { troubles, mark, release }: Surroundings,
): Promise<Logbook> {
  const clock = options.clock ?? Date.now
  const bar = options.bar ?? 'bar'
  const before = mark === undefined ? null : readMark(mark)
  let device =
    options.device ?? ((await store.note('device')) as string | undefined) ?? before?.device ?? newDevice()
  if (!isDeviceName(device)) throw new TypeError(`device ${JSON.stringify(device)}: 4 to 16 of a-z and 0-9`)
  await store.add([], [{ key: 'device', value: device }])
  /** the name that the store knows */
  let deviceSaved = device
  const days = openDays(store)
  const kept = (await store.note('position')) as Position | undefined
  let { sequence, stamp, shift } = kept ?? { sequence: 0, stamp: 0, shift: null }
  const last = await newest(store, () => true)
  const lastStamp = last ? stampOf(last) : 0
  if (lastStamp > stamp && lastStamp - clock() <= clockTolerance) stamp = lastStamp

  if (before && (before.device === device ? before.sequence > sequence : !last))
    troubles.push(trouble('evicted'))
  if (before?.device === device) sequence = Math.max(sequence, before.sequence)
  if (stamp > clock()) {
    troubles.push(trouble('clock set back', { minutes: Math.ceil((stamp - clock()) / 60_000) }))
  }

  interface Waiting {
    records: LogRecord[]
    snapshot: { value: unknown } | null
    resolve: (records: readonly LogRecord[]) => void
    reject: (error: unknown) => void
  }
  const waiting: Waiting[] = []
  const unsaved: LogRecord[] = []
  /** the snapshot that came with what is unsaved */
  let heldSnapshot: SavedSnapshot | null = null
  const recent: LogRecord[] = []
  let inFlight: readonly LogRecord[] = []
  let writing: Promise<void> | null = null

  /** Everything that waits goes into one transaction; what comes meanwhile waits for the next. */
  async function writeAll(): Promise<void> {
    while (waiting.length > 0) {
      const batch = waiting.splice(0)
      const records = [...unsaved, ...batch.flatMap((each) => each.records)]
      inFlight = records
      const snapshot = snapshotOf(batch, unsaved.at(-1)?.sequence) ?? heldSnapshot
      const end = records.at(-1)
      const notes: Note[] = []
      if (end) {
        shift = records.findLast((record) => record.entry.kind === 'shift opened')?.id ?? shift
        notes.push(positionNote(end.sequence, stampOf(end)))
        if (end.device !== deviceSaved) notes.push({ key: 'device', value: end.device })
        if (records.some(({ entry }) => entry.kind === 'person erased'))
          notes.push({ key: 'erasing', value: true })
      }
      if (snapshot) notes.push({ key: 'snapshot', value: snapshot })
      try {
        await store.add(records, notes)
        if (mark !== undefined && (unsaved.length > 0 || heldSnapshot)) rescue(mark, null)
        unsaved.length = 0
        heldSnapshot = null
        if (end && mark !== undefined) markLog(mark, { device: end.device, sequence: end.sequence })
        if (end) savedSequence = end.sequence
        if (end) deviceSaved = end.device
        recent.push(...records)
        if (recent.length > recentKept) recent.splice(0, recent.length - recentKept)
        for (const each of batch) each.resolve(each.records)
      } catch (error) {
        unsaved.push(...batch.flatMap((each) => each.records))
        heldSnapshot = snapshot
        // what the store had of these is gone with it; what it still has is passed over when they are put back
        if (mark !== undefined) rescue(mark, { records: [...recent, ...unsaved], snapshot })
        for (const each of batch) each.reject(error)
      }
      inFlight = []
    }
    writing = null
  }

  function write(records: LogRecord[], snapshot: Waiting['snapshot']): Promise<readonly LogRecord[]> {
    return new Promise((resolve, reject) => {
      waiting.push({ records, snapshot, resolve, reject })
      writing ??= writeAll()
    })
  }

  /** of this device's last record in the store */
  let savedSequence = kept?.sequence ?? 0
  const positionNote = (sequence: number, stamp: number): Note => {
    const value: Position = { sequence, stamp, shift }
    return { key: 'position', value }
  }

  /** The last snapshot among what is written together, with the last record that it knows of. */
  function snapshotOf(batch: readonly Waiting[], before = savedSequence): SavedSnapshot | null {
    const at = batch.findLastIndex((each) => each.snapshot)
    if (at < 0) return null
    const known = batch.slice(0, at + 1).flatMap((each) => each.records)
    return { after: known.at(-1)?.sequence ?? before, snapshot: batch[at]?.snapshot?.value }
  }

  const notYetStored = () => [...unsaved, ...inFlight, ...waiting.flatMap((each) => each.records)]

  /** The record that an entry takes back, corrects or changes. */
  async function target(entry: Entry, among: readonly LogRecord[]): Promise<LogRecord | undefined> {
    const inMemory = [...recent, ...notYetStored(), ...among]
    if (entry.kind === 'recipe set') return lastSet(entry, [...(await days.standing()), ...inMemory])
    if (entry.kind !== 'taken back' && entry.kind !== 'corrected') return undefined
    const named = (record: LogRecord) => record.device === device && record.entry.id === entry.entry
    const record = inMemory.findLast(named) ?? (await newest(store, named))
    if (!record) throw new TypeError(`${entry.kind}: no entry ${JSON.stringify(entry.entry)} is in the log`)
    return record
  }

  async function find(id: string, among: readonly LogRecord[]): Promise<LogRecord | undefined> {
    const [stored] = await store.get([id])
    return stored ?? [...notYetStored(), ...among].find((record) => record.id === id)
  }

  /** The amendment with its effect on the counts, for which everything since the shot that it amends is looked at. */
  async function withEffect(
    amendment: LogRecord,
    of: LogRecord,
    among: readonly LogRecord[],
  ): Promise<LogRecord> {
    let root: LogRecord | undefined = of
    while (root && isAmendment(root)) root = await find(root.of ?? '', among)
    if (!root) return amendment
    const stored = await store.range({ from: root.id })
    // what was in flight may have arrived while the store was asked
    const known = new Map([...stored, ...notYetStored(), ...among].map((record) => [record.id, record]))
    const effect = effectOf(withAmendments([...known.values()], root.id), amendment)
    return effect ? { ...amendment, effect } : amendment
  }

  async function makeRecords(entries: readonly Entry[]): Promise<LogRecord[]> {
    const checked = entries.map((given) => {
      const result = v.safeParse(entrySchema, given)
      if (!result.success) throw new TypeError(`${given.kind}: ${describeIssues(result.issues)}`)
      return JSON.parse(JSON.stringify(result.output)) as Entry
    })
    const start = { stamp, sequence, device }
    const records: LogRecord[] = []
    try {
      for (const entry of checked) {
        const of = await target(entry, records)
        stamp = nextStamp(entry.at, stamp)
        if (sequence >= largestSequence) {
          // no id has room for the next number: the device goes on under another name
          device = newDevice()
          sequence = 0
        }
        sequence += 1
        const record: LogRecord = {
          id: recordId(stamp, device, sequence),
          version: recordVersion,
          bar,
          device,
          sequence,
          wall: wallTime(new Date(clock())),
          ...(of && { of: of.id }),
          entry,
        }
        records.push(of && isAmendment(record) ? await withEffect(record, of, records) : record)
      }
      return records
    } catch (error) {
      ;({ stamp, sequence, device } = start)
      throw error
    }
  }

  /** Appends take their numbers one after the other, in the order of the calls. */
  let numbering: Promise<unknown> = Promise.resolve()
  async function appendNow(entries: readonly Entry[], snapshot: Waiting['snapshot']) {
    const made = numbering.then(() => makeRecords(entries))
    numbering = made.catch(() => undefined)
    const records = await write(await made, snapshot)
    let erasure: Erasure | null = null
    for (const { entry } of records)
      if (entry.kind === 'person erased') {
        const unreached = ['erase.exports', 'erase.other-devices', ...(newer > 0 ? ['erase.newer'] : [])]
        erasure = { ...(await eraseNow(store, bar, entry)), unreached: unreached as SentenceId[] }
      }
    if (erasure) await store.add([], [{ key: 'erasing', value: false }])
    if (records.some(({ entry }) => isStanding(entry.kind) || entry.kind === 'taken back')) tellStanding()
    return { records, erasure }
  }

  /** Records without what tells of erased people. */
  async function withoutErased(
    records: readonly LogRecord[],
  ): Promise<{ left: LogRecord[]; erased: number }> {
    const erasures = [...(await days.standing()), ...records]
    let erased = 0
    const left = records.flatMap((record) => {
      const after = afterErasures(record, erasures)
      if (after === null) erased += 1
      return after ?? []
    })
    return { left, erased }
  }

  async function mergeNow(
    records: readonly LogRecord[],
    { signal, onProgress = () => undefined }: MergeOptions = {},
  ) {
    await writing
    const slice = createSlices(signal)
    const { left, erased } = await withoutErased(records)
    const added: string[] = []
    let already = 0
    try {
      for (const batch of batches(left)) {
        const stored = new Set((await store.get(batch.map(({ id }) => id))).map(({ id }) => id))
        const fresh = batch.filter(({ id }) => !stored.has(id))
        await store.add(fresh, [])
        added.push(...fresh.map(({ id }) => id))
        already += batch.length - fresh.length
        await slice()
        onProgress((added.length + already) / left.length)
      }
    } catch (error) {
      for (const batch of batches(added)) await store.remove(batch)
      throw error
    }
    for (const record of left) {
      follow(stampOf(record))
      if (record.device === device) savedSequence = Math.max(savedSequence, record.sequence)
      if (record.entry.kind === 'person erased' && record.bar === bar)
        await eraseNow(store, bar, record.entry)
    }
    sequence = Math.max(sequence, savedSequence)
    if (added.length > 0) tellStanding()
    if (added.length > 0) await store.add([], [positionNote(savedSequence, stamp)])
    return { added: added.length, already, erased }
  }

  function follow(seen: number): void {
    if (seen - clock() <= clockTolerance) stamp = Math.max(stamp, seen + 1)
  }

  async function takeIn(): Promise<void> {
    const mark = await store.mark()
    const since = ((await store.note('taken in')) as number | undefined) ?? mark
    const { ids } = await store.changedSince(since)
    const foreign = ids.filter((id) => (readRecordId(id)?.device ?? device) !== device)
    for (const batch of batches(foreign)) {
      const records = await store.get(batch)
      for (const record of records) follow(stampOf(record))
      await eraseAgain(store, records, await days.standing())
    }
    await store.add([], [{ key: 'taken in', value: mark }])
    await countUnread()
    if (foreign.length > 0) tellStanding()
  }

  const listeners = new Set<() => void>()
  const tellStanding = () => listeners.forEach((listener) => listener())

  let newer = 0
  let damaged = 0
  /**
   * Counts what cannot be read among what came since it was counted last. Once this program is newer itself, all is
   * counted again, and erasures reach what could not be read before.
   */
  async function countUnread(): Promise<void> {
    const kept = (await store.note('unread')) as UnreadEntries | undefined
    const before = kept?.version === recordVersion ? kept : { mark: 0, newer: 0, damaged: 0 }
    const { ids, mark } = await store.changedSince(before.mark)
    const now = { newer: before.newer, damaged: before.damaged }
    for (const batch of batches(ids.filter(readRecordId))) {
      const more = await store.unread(batch)
      now.newer += more.newer
      now.damaged += more.damaged
    }
    const notes: Note[] = [{ key: 'unread', value: { version: recordVersion, mark, ...now } }]
    if (kept && now.newer < kept.newer) notes.push({ key: 'erasing', value: true })
    if (mark !== before.mark) await store.add([], notes)
    const hasGrown = now.newer > newer || now.damaged > damaged
    ;({ newer, damaged } = now)
    if (hasGrown) tellStanding()
  }

  /** An erasure that a killed window left half done. */
  async function finishErasures(): Promise<void> {
    if ((await store.note('erasing')) !== true) return
    for (const record of await days.standing())
      if (record.entry.kind === 'person erased') await eraseNow(store, record.bar, record.entry)
    await store.add([], [{ key: 'erasing', value: false }])
  }
  if (mark !== undefined) await putBack(rescued(mark))

  /** Records that the store would not take the last time, and the machine's state after them. */
  async function putBack({ records, snapshot }: Rescued): Promise<void> {
    if (records.length === 0 && !snapshot) return
    shift = records.findLast(({ entry }) => entry.kind === 'shift opened')?.id ?? shift
    sequence = Math.max(
      sequence,
      ...records.filter((each) => each.device === device).map((each) => each.sequence),
    )
    try {
      await mergeNow(records)
      if (snapshot) await store.add([], [{ key: 'snapshot', value: snapshot }])
      if (mark !== undefined) rescue(mark, null)
    } catch {
      unsaved.push(...records)
      heldSnapshot = snapshot
    }
  }

  const finishing = countUnread()
    .then(finishErasures)
    .catch(() => undefined)

  return {
    bar,
    get device() {
      return device
    },
    troubles,
    database,
    store,
    days,
    get newer() {
      return newer
    },
    get damaged() {
      return damaged
    },
    get unsaved() {
      return unsaved.map((record) => record.entry)
    },
    async append(entries, ...snapshot) {
      const list = 'kind' in entries ? [entries] : entries
      return (await appendNow(list, snapshot.length > 0 ? { value: snapshot[0] } : null)).records
    },
    entries: (stretch = {}) => recordsIn(store, stretch),
    async shift() {
      const opened = readRecordId(shift ?? '')
      if (shift === null || !opened) return recordsIn(store, { from: clock() / 1000 - 86_400 })
      const records = await store.range({ from: shift })
      return records.filter((record) => record.device !== opened.device || record.sequence >= opened.sequence)
    },
    async saveSnapshot(snapshot) {
      await numbering
      await write([], { value: snapshot })
    },
    async loadSnapshot() {
      const saved = heldSnapshot ?? ((await store.note('snapshot')) as SavedSnapshot | undefined)
      if (!saved) return null
      return { snapshot: saved.snapshot, missed: Math.max(0, savedSequence - saved.after) }
    },
    async erase(entry, ...snapshot) {
      const { erasure } = await appendNow([entry], snapshot.length > 0 ? { value: snapshot[0] } : null)
      if (!erasure) throw new TypeError('only an entry "person erased" erases')
      return erasure
    },
    async differing(records) {
      const { left } = await withoutErased(records)
      const differing: LogRecord[] = []
      for (const batch of batches(left)) {
        const stored = new Map(
          (await store.get(batch.map(({ id }) => id))).map((record) => [record.id, record]),
        )
        for (const record of batch) {
          const known = stored.get(record.id)
          if (known && !sameRecord(known, record)) differing.push(record)
        }
      }
      return differing
    },
    async merge(records, options) {
      const merged = numbering.then(() => mergeNow(records, options))
      numbering = merged.catch(() => undefined)
      return merged
    },
    takeIn,
    onStanding(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    async close() {
      await numbering
      await writing
      await finishing
      await store.close()
      release?.()
    },
  }
}

/** Records in portions that one transaction takes. */
function* batches<T>(list: readonly T[]): Generator<T[]> {
  for (let i = 0; i < list.length; i += 200) yield list.slice(i, i + 200)
}

/** A name for a device, of 8 random letters and digits. */
function newDevice(): string {
  const letters = 'abcdefghijkmnpqrstuvwxyz23456789'
  return Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => letters[byte % 32]).join('')
}
