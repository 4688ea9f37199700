import { effective, isInWindow } from './effective.ts'
import type { LogRecord } from './record.ts'

/**
 * What an amendment changes in the counts of shots and of shots in the window: a server that adds up the log sees one
 * record at a time, and with this it needs no other. Practice is not counted.
 *
 * @param known the shot and everything that amends it, in the log's order
 * @param amendment the record that is to follow
 * @returns `undefined` when what it amends is no counted shot
 */
export function effectOf(known: readonly LogRecord[], amendment: LogRecord): LogRecord['effect'] {
  const shot = known.find(({ entry }) => entry.kind === 'shot')
  if (shot?.entry.kind !== 'shot' || shot.entry.practice) return undefined
  const before = countsOf(known)
  const after = countsOf([...known, amendment])
  return {
    coffee: shot.entry.coffee,
    shots: after.shots - before.shots,
    inWindow: after.inWindow - before.inWindow,
  }
}

function countsOf(records: readonly LogRecord[]): { shots: number; inWindow: number } {
  const shots = effective(records).flatMap(({ entry }) => (entry.kind === 'shot' ? [entry] : []))
  return { shots: shots.length, inWindow: shots.filter(isInWindow).length }
}

/** Of some records, one and what amends it, directly or by way of another amendment; in the given order. */
export function withAmendments(records: readonly LogRecord[], id: string): LogRecord[] {
  const byId = new Map(records.map((record) => [record.id, record]))
  const rootOf = (record: LogRecord): string => {
    const seen = new Set<string>()
    let at = record
    while (isAmendment(at) && !seen.has(at.id)) {
      seen.add(at.id)
      const target = byId.get(at.of ?? '')
      if (!target) break
      at = target
    }
    return at.id
  }
  const wanted = byId.get(id)
  const root = wanted ? rootOf(wanted) : id
  return records.filter((record) => rootOf(record) === root)
}

/** Whether a record changes another. */
export function isAmendment({ entry }: LogRecord): boolean {
  return entry.kind === 'taken back' || entry.kind === 'corrected'
}
