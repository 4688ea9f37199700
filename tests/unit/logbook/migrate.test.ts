import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { checkRecord, readRecord } from '../../../src/logbook/checkRecord.ts'
import { readCsv } from '../../../src/logbook/csv.ts'
import { readJsonLines } from '../../../src/logbook/jsonLines.ts'
import { migrate } from '../../../src/logbook/migrate.ts'
import { recordVersion } from '../../../src/logbook/record.ts'
import { entryKinds } from '../../../src/messages/entry.ts'

const fixture = (name: string) => readFileSync(new URL(`fixtures/${name}`, import.meta.url), 'utf8')

describe('a log of version 1', () => {
  const rows = [...readJsonLines(fixture('version1.jsonl'))]

  test('holds every kind of entry of its time, and all are read today', () => {
    const records = rows.map((row) => checkRecord('value' in row ? row.value : null))
    expect(records.filter((each) => 'reason' in each)).toEqual([])
    const kinds = records.map((each) => ('record' in each ? each.record.entry.kind : null))
    // kinds that came later
    const since = ['fault', 'roasted', 'room read', 'strength measured']
    expect([...new Set(kinds)].sort()).toEqual(entryKinds.filter((kind) => !since.includes(kind)).sort())
    for (const each of records) expect('record' in each && each.record.version).toBe(recordVersion)
  })

  test('says the same in its CSV', () => {
    const values = [...readCsv(fixture('version1.csv'))].map((row) => ('value' in row ? row.value : row))
    expect(values).toEqual(rows.map((row) => ('value' in row ? row.value : row)))
  })
})

describe('migration', () => {
  const table = {
    1: (record: Record<string, unknown>) => ({ ...record, added: 'in 2' }),
    2: (record: Record<string, unknown>) => ({
      ...record,
      added: `${String(record['added'])}, changed in 3`,
    }),
  }

  test('goes through every version on the way', () => {
    expect(migrate({ version: 1, id: 'x' }, table, 3)).toEqual({
      version: 3,
      id: 'x',
      added: 'in 2, changed in 3',
    })
    expect(migrate({ version: 2, id: 'x', added: 'in 2' }, table, 3)).toMatchObject({
      added: 'in 2, changed in 3',
    })
    expect(migrate({ version: 3, id: 'x' }, table, 3)).toEqual({ version: 3, id: 'x' })
  })

  test('leaves alone what a newer program wrote, and what is no record', () => {
    expect(migrate({ version: 4 }, table, 3)).toBeNull()
    expect(migrate({ version: 0 }, table, 3)).toBeNull()
    expect(migrate({ version: 1.5 }, table, 3)).toBeNull()
    expect(migrate(null)).toBeNull()
    expect(migrate([1])).toBeNull()
    expect(readRecord({ version: 1, id: 'x', entry: { kind: 'shot' } })).toBeNull()
  })
})
