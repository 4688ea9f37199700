import type { Entry } from '../../../src/messages/entry.ts'
import { recordId, recordVersion, type LogRecord } from '../../../src/logbook/record.ts'

/** 3 March 2026, 08:00 UTC, in bar-clock seconds. */
export const morning = Date.UTC(2026, 2, 3, 8) / 1000

type Said = Entry extends infer E ? (E extends Entry ? Omit<E, 'id' | 'at'> : never) : never

/** A device's records, one second apart unless told otherwise; each entry's id is `e` and its number. */
export function recordsOf(
  entries: readonly (Said & { at?: number; of?: string })[],
  device = 'tablet01',
  start = morning,
): LogRecord[] {
  return entries.map(({ of, at: given, ...said }, i) => {
    const at = given ?? start + i
    return {
      id: recordId(Math.round(at * 1000), device, i + 1),
      version: recordVersion,
      bar: 'bar',
      device,
      sequence: i + 1,
      wall: new Date(at * 1000).toISOString(),
      ...(of !== undefined && { of }),
      entry: { ...said, id: `e${i + 1}`, at } as Entry,
    }
  })
}

/** A double of so many seconds. */
export function double(
  shot: string,
  seconds: number,
  more: Partial<Extract<Entry, { kind: 'shot' }>> = {},
): Extract<Said, { kind: 'shot' }> & { at?: number } {
  return {
    kind: 'shot',
    shot,
    recipe: 'double',
    coffee: 1,
    grinder: 1,
    seconds,
    windowOpens: 17,
    windowCloses: 22,
    notch: 10,
    purged: true,
    practice: false,
    ...more,
  }
}
