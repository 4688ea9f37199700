import { describe, expect, test } from 'vitest'
import type { Entry } from '../../../src/messages/entry.ts'
import { checkRecord } from '../../../src/logbook/checkRecord.ts'
import { openMemoryLogbook } from '../../../src/logbook/openMemoryLogbook.ts'
import { readRecordId } from '../../../src/logbook/record.ts'
import { double, morning, recordsOf } from './makeRecords.ts'

const shot = (n: number, at = morning + n): Entry => ({ ...double(`s${n}`, 19), id: `e${n}`, at })

describe('the logbook', () => {
  test('numbers entries in the order they were given, without waiting', async () => {
    const log = await openMemoryLogbook()
    await Promise.all([1, 2, 3, 4, 5].map((n) => log.append(shot(n))))
    const records = await log.entries()
    expect(records.map((record) => [record.sequence, record.entry.id])).toEqual([
      [1, 'e1'],
      [2, 'e2'],
      [3, 'e3'],
      [4, 'e4'],
      [5, 'e5'],
    ])
  })

  test('keeps the order when the clock is set back by an hour, and what the clock said', async () => {
    const log = await openMemoryLogbook()
    await log.append(shot(1, morning + 7200))
    await log.append(shot(2, morning + 3600))
    const records = await log.entries()
    expect(records.map((record) => record.entry.id)).toEqual(['e1', 'e2'])
    expect(records[1]?.entry.at).toBe(morning + 3600)
    expect(readRecordId(records[1]?.id ?? '')?.stamp).toBe((morning + 7200) * 1000)
  })

  test('does not follow a clock that was years ahead, and still numbers on', async () => {
    const log = await openMemoryLogbook()
    await log.append(shot(1, morning + 10 * 365 * 86_400))
    await log.append(shot(2, morning))
    const records = await log.entries()
    expect(records.map((record) => record.sequence)).toEqual([2, 1])
    expect(records[0]?.entry.id).toBe('e2')
  })

  test('goes on under another name when its numbers are used up, and loses nothing', async () => {
    const log = await openMemoryLogbook({ device: 'tablet01' })
    // a row of this device's own, as a file may hold
    const [row] = recordsOf([{ ...double('s0', 19) }])
    if (!row) throw new Error('no row')
    await log.merge([{ ...row, id: row.id.replace('0000001', '9999998'), sequence: 9_999_998 }])
    await log.append([shot(1), shot(2), shot(3)])
    await log.append(shot(4))
    const records = await log.entries()
    expect(records.map(({ entry }) => entry.id)).toEqual(['e1', 'e1', 'e2', 'e3', 'e4'])
    expect(records.map(({ sequence }) => sequence)).toEqual([9_999_998, 9_999_999, 1, 2, 3])
    expect(records[2]?.device).not.toBe('tablet01')
    expect(log.device).toBe(records[2]?.device)
    for (const record of records) expect(checkRecord(record)).toHaveProperty('record')
    // the numbers beyond a million are as good as those before
    expect(
      checkRecord({ ...row, id: row.id.replace('0000001', '1000001'), sequence: 1_000_001 }),
    ).toHaveProperty('record')
  })

  test('refuses an entry that is none, tells the field, and logs nothing of its batch', async () => {
    const log = await openMemoryLogbook()
    const bad = { ...shot(2), seconds: Infinity }
    await expect(log.append([shot(1), bad])).rejects.toThrow(/shot: seconds/)
    await expect(log.append({ ...shot(2), extra: 1 } as unknown as Entry)).rejects.toThrow(/extra/)
    expect(await log.entries()).toEqual([])
    await log.append(shot(3))
    expect((await log.entries()).map((record) => record.sequence)).toEqual([1])
  })

  test('refuses to take back what is not there', async () => {
    const log = await openMemoryLogbook()
    await expect(log.append({ id: 'x', at: morning, kind: 'taken back', entry: 'nothing' })).rejects.toThrow(
      'taken back: no entry "nothing" is in the log',
    )
  })

  test('links an amendment to its record, in the same batch too', async () => {
    const log = await openMemoryLogbook()
    const [first, back] = await log.append([
      shot(1),
      { id: 'x', at: morning + 2, kind: 'taken back', entry: 'e1' },
    ])
    expect(back?.of).toBe(first?.id)
    expect(back?.effect).toEqual({ coffee: 1, shots: -1, inWindow: -1 })
  })

  test('takes back, and takes that back, what is still on its way to the store', async () => {
    const log = await openMemoryLogbook()
    const undo = (id: string, entry: string): Entry => ({ id, at: morning + 2, kind: 'taken back', entry })
    const written = await Promise.all([
      log.append(shot(1)),
      log.append(undo('x', 'e1')),
      log.append(undo('y', 'x')),
      log.append(undo('z', 'y')),
    ])
    const records = written.flat()
    expect(records.map((record) => record.of)).toEqual([
      undefined,
      ...records.slice(0, 3).map(({ id }) => id),
    ])
    expect(records.map((record) => record.effect?.shots)).toEqual([undefined, -1, 1, -1])
  })

  test('gives the snapshot back, and how much was logged without it', async () => {
    const log = await openMemoryLogbook()
    expect(await log.loadSnapshot()).toBeNull()
    await log.append(shot(1), { state: 'judge' })
    await log.append([shot(2), shot(3)])
    expect(await log.loadSnapshot()).toEqual({ snapshot: { state: 'judge' }, missed: 2 })
    await log.saveSnapshot({ state: 'grind' })
    expect(await log.loadSnapshot()).toEqual({ snapshot: { state: 'grind' }, missed: 0 })
  })

  test('does not take a snapshot to know of what is logged after it in the same breath', async () => {
    const log = await openMemoryLogbook()
    await Promise.all([log.append(shot(1)), log.append(shot(2), { state: 'judge' }), log.append(shot(3))])
    expect(await log.loadSnapshot()).toEqual({ snapshot: { state: 'judge' }, missed: 1 })
  })

  test('tells the shift from its last opening on', async () => {
    const log = await openMemoryLogbook()
    const opened = (n: number): Entry => ({
      id: `o${n}`,
      at: morning + n,
      kind: 'shift opened',
      coffee: 1,
      grinder: 1,
      recipe: 'double',
    })
    await log.append([opened(0), shot(1), opened(2), shot(3)])
    expect((await log.shift()).map((record) => record.entry.id)).toEqual(['o2', 'e3'])
  })

  test('erases a person and says what it cannot reach', async () => {
    const log = await openMemoryLogbook()
    await log.append([
      { ...shot(1), person: 3 } as Entry,
      { ...shot(2), person: 4 } as Entry,
      {
        id: 'd',
        at: morning + 3,
        kind: 'drill scored',
        drill: 'fast',
        person: 3,
        score: 1,
        unit: 's',
        passed: true,
      },
      { id: 'n', at: morning + 4, kind: 'named', what: 'person', number: 3, name: 'a name' },
      { id: 'c', at: morning + 5, kind: 'named', what: 'coffee', number: 3, name: 'a coffee' },
    ])
    const erasure = await log.erase({ id: 'x', at: morning + 6, kind: 'person erased', person: 3 })
    expect(erasure).toEqual({ changed: 1, removed: 2, unreached: ['erase.exports', 'erase.other-devices'] })
    const left = await log.entries()
    expect(left.map((record) => record.entry.id)).toEqual(['e1', 'e2', 'c', 'x'])
    expect(JSON.stringify(left)).not.toContain('"person":3,"seconds"')
    expect(JSON.stringify(left)).not.toContain('a name')
    expect(left[1]?.entry).toMatchObject({ person: 4 })
    // the number may be given to somebody else
    await log.append({ ...shot(7), person: 3 } as Entry)
    expect((await log.entries({ last: 1 }))[0]?.entry).toMatchObject({ person: 3 })
  })
})
