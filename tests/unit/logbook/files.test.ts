import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readCells, readCsv, toCsvRows } from '../../../src/logbook/csv.ts'
import { exportLog, type FileFormat } from '../../../src/logbook/exportLog.ts'
import { importLog, ImportRefused, largestFile } from '../../../src/logbook/importLog.ts'
import { toJsonLines } from '../../../src/logbook/jsonLines.ts'
import { Cancelled } from '../../../src/logbook/slices.ts'
import { openMemoryLogbook } from '../../../src/logbook/openMemoryLogbook.ts'
import type { Entry } from '../../../src/messages/entry.ts'
import { arbitraryEntry, arbitraryRecords } from './arbitraryRecords.ts'
import { double, morning, recordsOf } from './makeRecords.ts'

const formats: FileFormat[] = ['CSV', 'JSON Lines']

/** The rows that a file is refused for. */
async function refusal(file: Blob, format: FileFormat) {
  const log = await openMemoryLogbook()
  const error: unknown = await importLog(log, file, format).then(
    () => null,
    (reason: unknown) => reason,
  )
  if (!(error instanceof ImportRefused)) throw new Error(`not refused: ${error}`)
  expect(await log.entries()).toEqual([])
  return error.rows
}

const lines = (...values: unknown[]) => new Blob(values.map((value) => `${JSON.stringify(value)}\n`))

describe('CSV as RFC 4180 has it', () => {
  // RFC 4180 (October 2005), section 2, the examples of its seven points
  test.each([
    [
      '1: each record on its own line',
      'aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '2: the last line may lack its end',
      'aaa,bbb,ccc\r\nzzz,yyy,xxx',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '3: a header line',
      'field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
      [
        ['field_name', 'field_name', 'field_name'],
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    ['4: spaces are part of a field', 'aaa, bbb ,ccc', [['aaa', ' bbb ', 'ccc']]],
    [
      '5: fields in double quotes',
      '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '6: a line end in quotes',
      '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'b\r\nbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    ['7: a double quote is doubled', '"aaa","b""bb","ccc"', [['aaa', 'b"bb', 'ccc']]],
  ])('%s', (_rule, text, rows) => {
    expect(readCells(text)).toEqual({ rows, broken: new Set() })
  })

  test('lines end with CR LF, and quotes, commas and line ends are quoted', () => {
    const records = recordsOf([{ kind: 'recipe chosen', recipe: 'a "b", c\r\nd' }])
    expect(toCsvRows(records)).toMatch(/,"a ""b"", c\r\nd",.*\r\n$/)
  })
})

describe('a round trip', () => {
  test.each(formats)('through %s is exact', async (format) => {
    await fc.assert(
      fc.asyncProperty(arbitraryRecords, async (records) => {
        fc.pre(records.length > 0)
        const from = await openMemoryLogbook()
        await from.merge(records)
        const file = await exportLog(from.store, format)
        const to = await openMemoryLogbook()
        const outcome = await importLog(to, file, format)
        expect(outcome.added + outcome.erased).toBe(records.length)
        expect(await to.entries()).toEqual(await from.entries())
        const again = await importLog(to, file, format)
        expect(again.added).toBe(0)
        expect(await exportLog(to.store, format).then((blob) => blob.text())).toBe(await file.text())
      }),
      { numRuns: 50 },
    )
  })

  test('of what a log was given and kept', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(arbitraryEntry, { minLength: 1, maxLength: 5 }), async (entries) => {
        const log = await openMemoryLogbook()
        const known = entries.filter(
          ({ kind }) => !['taken back', 'corrected', 'person erased'].includes(kind),
        )
        await log.append(known)
        const file = await exportLog(log.store, 'CSV')
        if (known.length === 0) return
        const to = await openMemoryLogbook()
        await importLog(to, file, 'CSV')
        const kept = (await to.entries()).toSorted((a, b) => a.sequence - b.sequence)
        expect(kept.map((record) => record.entry)).toEqual(known)
      }),
      { numRuns: 100 },
    )
  })
})

describe('a file of another device', () => {
  test('is merged without duplicates, and what follows comes after it', async () => {
    const log = await openMemoryLogbook({ clock: () => morning * 1000 })
    await log.append({ ...double('own', 18), id: 'own', at: morning })
    const records = recordsOf([double('a', 15), double('b', 18)], 'tablet02', morning + 600)
    const file = new Blob([toJsonLines(records)])
    expect(await importLog(log, file, 'JSON Lines')).toMatchObject({ added: 2, already: 0 })
    expect(await importLog(log, file, 'JSON Lines')).toMatchObject({ added: 0, already: 2 })
    await log.append({ ...double('c', 18), id: 'later', at: morning + 1 })
    expect((await log.entries()).map((record) => record.entry.id)).toEqual(['own', 'e1', 'e2', 'later'])
  })

  test('does not bring back a person who was erased', async () => {
    const log = await openMemoryLogbook()
    const records = recordsOf([
      { kind: 'named', what: 'person', number: 3, name: 'a name' },
      double('a', 15, { person: 3 }),
      { kind: 'drill scored', drill: 'fast', person: 3, score: 1, unit: 'seconds', passed: true },
    ])
    await log.merge(records)
    const file = await exportLog(log.store, 'CSV')
    await log.erase({ kind: 'person erased', id: 'x', at: morning + 100, person: 3 })
    expect(await importLog(log, file, 'CSV')).toEqual({
      added: 0,
      already: 1,
      erased: 2,
      newer: 0,
      refused: [],
    })
    expect(JSON.stringify(await log.entries())).not.toContain('a name')
  })

  test('continues the numbering of this device when it is its own', async () => {
    const log = await openMemoryLogbook({ device: 'tablet01' })
    await importLog(log, new Blob([toJsonLines(recordsOf([double('a', 15), double('b', 18)]))]), 'JSON Lines')
    const [record] = await log.append({ ...double('c', 18), id: 'c', at: morning + 60 })
    expect(record?.sequence).toBe(3)
  })
})

describe('a file that is wrong', () => {
  const [good, other] = recordsOf([double('a', 15), double('b', 18)])
  if (!good || !other) throw new Error('no records')

  test('is refused whole, with every row and reason', async () => {
    const bad = { ...other, entry: { ...other.entry, seconds: 'long' } }
    const { seconds: _seconds, ...short } = other.entry as Entry & { kind: 'shot' }
    const rows = await refusal(
      lines(
        good,
        bad,
        { ...other, entry: short },
        { ...other, colour: 'blue' },
        { ...other, wall: 'noon' },
        { ...other, device: 'tablet09' },
        7,
      ),
      'JSON Lines',
    )
    expect(rows).toEqual([
      { row: 2, reason: 'field', values: { field: 'entry.seconds', value: '"long"', expected: 'number' } },
      { row: 3, reason: 'field missing', values: { field: 'entry.seconds' } },
      { row: 4, reason: 'field unknown', values: { field: 'colour' } },
      { row: 5, reason: 'field odd', values: { field: 'wall', value: '"noon"' } },
      { row: 6, reason: 'device differs', values: { device: 'tablet09' } },
      { row: 7, reason: 'not a record' },
    ])
  })

  test('only in that a newer program wrote rows of it leaves those, and gives all others', async () => {
    const newer = { ...other, version: 99, entry: { kind: 'foam measured', centimetres: 1 } }
    const log = await openMemoryLogbook()
    expect(await importLog(log, lines(good, newer), 'JSON Lines')).toMatchObject({ added: 1, newer: 1 })

    const csv = await (await exportLog(log.store, 'CSV')).text()
    const [header = '', row = ''] = csv.split('\r\n')
    const later = row.replace(/^[^,]+,1,/, `${other.id},99,`).replace(',shot,', ',foam measured,')
    const text = [`${header},centimetres`, `${row},`, `${later},1`, ''].join('\r\n')
    const elsewhere = await openMemoryLogbook()
    expect(await importLog(elsewhere, new Blob([text]), 'CSV')).toMatchObject({ added: 1, newer: 1 })
    expect(await elsewhere.entries()).toEqual([good])
    expect([...readCsv([`${header},centimetres`, `${row},2`, `${later},1`, ''].join('\r\n'))][0]).toEqual({
      row: 2,
      reason: 'field foreign',
      values: { field: 'centimetres', kind: 'shot' },
    })
  })

  test('leaves its good rows when that is asked for', async () => {
    const log = await openMemoryLogbook()
    const outcome = await importLog(log, new Blob([toJsonLines([good]), 'nonsense\n']), 'JSON Lines', {
      keepGood: true,
    })
    expect(outcome).toEqual({
      added: 1,
      already: 0,
      erased: 0,
      newer: 0,
      refused: [{ row: 2, reason: 'not JSON' }],
    })
  })

  test('with other content under a known id is refused', async () => {
    const log = await openMemoryLogbook()
    await log.merge([good])
    const changed = { ...good, entry: { ...good.entry, seconds: 3 } }
    await expect(importLog(log, lines(changed), 'JSON Lines')).rejects.toMatchObject({
      rows: [{ row: 1, reason: 'log differs' }],
    })
    expect(await refusal(lines(good, changed), 'JSON Lines')).toMatchObject([{ row: 2 }])
  })

  test('in another encoding is refused', async () => {
    const text = toJsonLines(recordsOf([{ kind: 'recipe chosen', recipe: 'caffè' }]))
    const utf16 = new Blob([
      new Uint8Array([0xff, 0xfe]),
      new Uint8Array(new Uint16Array([...text].map((c) => c.charCodeAt(0))).buffer),
    ])
    expect(await refusal(utf16, 'JSON Lines')).toEqual([{ row: 0, reason: 'UTF-16' }])
    const latin1 = new Blob([new Uint8Array([...text].map((c) => c.charCodeAt(0)))])
    expect(await refusal(latin1, 'JSON Lines')).toEqual([{ row: 0, reason: 'not UTF-8' }])
    const withMark = new Blob(['\ufeff', text])
    const log = await openMemoryLogbook()
    expect(await importLog(log, withMark, 'JSON Lines')).toMatchObject({ added: 1 })
  })

  test('that is huge is refused before it is read', async () => {
    const huge = { size: largestFile + 1, arrayBuffer: () => Promise.reject(new Error('read')) } as Blob
    expect(await refusal(huge, 'CSV')).toMatchObject([{ row: 0, reason: 'too large', values: { most: 256 } }])
    const long = new Blob([`{"id":"${'x'.repeat(70_000)}"}\n`])
    expect(await refusal(long, 'JSON Lines')).toMatchObject([
      { reason: 'long line', values: { most: 65_536 } },
    ])
  })

  test('that is no log at all is not read to its end', async () => {
    const rows = await refusal(new Blob(['x\n'.repeat(100_000)]), 'JSON Lines')
    expect(rows).toHaveLength(1000)
  })

  test('can be stopped half-way, and leaves nothing', async () => {
    const log = await openMemoryLogbook()
    const records = recordsOf(Array.from({ length: 1000 }, (_, i) => double(`s${i}`, 19)))
    const ending = new AbortController()
    const shares: number[] = []
    const file = new Blob([toJsonLines(records)])
    const importing = importLog(log, file, 'JSON Lines', {
      signal: ending.signal,
      onProgress(share) {
        shares.push(share)
        if (share > 0.7) ending.abort()
      },
    })
    await expect(importing).rejects.toThrow(Cancelled)
    expect(await log.entries()).toEqual([])
    expect(shares).toEqual(shares.toSorted((a, b) => a - b))
    expect((await importLog(log, file, 'JSON Lines')).added).toBe(1000)
  })

  test('that is empty is refused', async () => {
    expect(await refusal(new Blob([]), 'CSV')).toHaveLength(1)
    expect(await refusal(new Blob(['\n\n']), 'JSON Lines')).toEqual([{ row: 0, reason: 'empty' }])
  })

  test('cannot reach behind objects', async () => {
    const text = JSON.stringify(good)
    const attacks = [
      text.replace('{', '{"__proto__":{"polluted":1},'),
      text.replace('"entry":{', '"entry":{"__proto__":{"polluted":1},'),
      text.replace('"entry":{', '"entry":{"constructor":{"prototype":{"polluted":1}},'),
      JSON.stringify({
        ...good,
        entry: { kind: 'setting changed', id: 's', at: 1, setting: 'x', from: 0, to: 1 },
      }).replace('"to":1', '"to":{"__proto__":{"polluted":1}}'),
    ]
    const rows = await refusal(new Blob(attacks.map((each) => `${each}\n`)), 'JSON Lines')
    expect(rows.map((each) => each.row)).toEqual([1, 2, 3, 4])
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
    const header = 'id,__proto__\r\n1,2\r\n'
    expect(await refusal(new Blob([header]), 'CSV')).toEqual([
      { row: 1, reason: 'column unknown', values: { column: '__proto__' } },
    ])
  })

  test('of CSV tells rows that do not fit the header, the kind or the type', async () => {
    const header = 'kind'
    expect([...readCsv(`${header}\r\n`)]).toEqual([
      { row: 1, reason: 'column missing', values: { column: 'id' } },
    ])
    const log = await openMemoryLogbook()
    await log.merge([good, other])
    const text = await (await exportLog(log.store, 'CSV')).text()
    const broken = text
      .replace(',15,17,22,', ',fifteen,17,22,')
      .replace(/b,double(.*)\r\n$/, 'b,double$1,extra\r\n')
    expect([...readCsv(broken)]).toMatchObject([
      { row: 2, reason: 'cell', values: { field: 'seconds', value: '"fifteen"', expected: 'number' } },
      { row: 3, reason: 'cells' },
    ])
    expect([...readCsv(text.replace(',shot,e1', ',purged,e1'))]).toMatchObject([
      { row: 2, reason: 'field foreign', values: { field: 'shot', kind: 'purged' } },
      { row: 3 },
    ])
    expect([...readCsv(`${text}"open`)].at(-1)).toMatchObject({ reason: 'quotes' })
  })
})

describe('a spreadsheet', () => {
  test.each(['=1+1', '+1', '-1', '@sum', '\t=1', '\r=1', "'=1", '＝1'])('takes %j for text', (recipe) => {
    const text = toCsvRows(
      recordsOf([{ kind: 'recipe chosen', recipe } as Entry & { kind: 'recipe chosen' }]),
    )
    const cells = readCells(text).rows[0] ?? []
    expect(cells.filter((cell) => /^[=+\-@\t\r＝＋－＠]/.test(cell))).toEqual([])
    expect(cells).toContain(`'${recipe}`)
  })
})
