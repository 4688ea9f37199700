import { describe, expect, test } from 'vitest'
import { checkRecord } from '../../../src/logbook/checkRecord.ts'
import { toCsvRows } from '../../../src/logbook/csv.ts'
import { withAmendments } from '../../../src/logbook/effect.ts'
import { recipeCards } from '../../../src/logbook/houseRecipe.ts'
import { recordId, type LogRecord } from '../../../src/logbook/record.ts'
import { double, morning, recordsOf } from './makeRecords.ts'

const refusalOf = (record: unknown) => {
  const checked = checkRecord(record)
  return 'reason' in checked ? { reason: checked.reason, field: checked.values?.field } : null
}

describe('a record that names itself', () => {
  const day = 24 * 3600
  const self = (entry: object, at = morning): LogRecord => {
    const id = recordId(at * 1000, 'tablet02', 7)
    return { ...base(id), of: id, entry: { id: 'e7', at, ...entry } } as LogRecord
  }
  const base = (id: string) => ({
    id,
    version: 1,
    bar: 'bar',
    device: 'tablet02',
    sequence: 7,
    wall: '2026-03-03T08:00:00Z',
  })
  const recipe = self({ kind: 'recipe set', recipe: 'house', dose: 20 })
  const undo = self({ kind: 'taken back', entry: 'e7' }, morning + 2 * day)

  test('is refused, and so is one that names what its device had not written yet', () => {
    expect(refusalOf(recipe)?.reason).toBe('names later')
    expect(refusalOf(undo)?.reason).toBe('names later')
    const later = recordId(morning * 1000, 'tablet02', 8)
    expect(refusalOf({ ...recipe, of: later })?.reason).toBe('names later')
    expect(refusalOf({ ...recipe, of: recordId(morning * 1000, 'tablet02', 6) })).toBeNull()
  })

  test('and one that takes back what another device wrote', () => {
    const other = recordId(morning * 1000, 'tablet03', 1)
    expect(refusalOf({ ...undo, of: other })?.reason).toBe('names later')
  })

  test('does not hold up the house recipe or an undo, should it be in an older log', () => {
    const [first] = recordsOf([{ kind: 'recipe set', recipe: 'house', dose: 18 }], 'tablet01', morning - 60)
    if (!first) throw new Error('no record')
    expect(recipeCards([first, recipe])[0]?.values.dose).toBe(20)
    expect(withAmendments([undo], undo.id)).toEqual([undo])
  })

  test('nor do two of two devices that name each other', () => {
    const [one] = recordsOf([{ kind: 'recipe set', recipe: 'house', dose: 18 }], 'tablet01')
    const [two] = recordsOf([{ kind: 'recipe set', recipe: 'house', dose: 19 }], 'tablet02')
    const [three] = recordsOf([{ kind: 'recipe set', recipe: 'house', dose: 20 }], 'tablet03', morning + 1)
    if (!one || !two || !three) throw new Error('no record')
    const circle = [
      { ...one, of: two.id },
      { ...two, of: one.id },
      { ...three, of: two.id },
    ]
    expect(recipeCards(circle)[0]?.values.dose).toBe(20)
  })
})

describe('a number that no bar can mean', () => {
  test.each([
    ['dose', { kind: 'recipe set', recipe: 'house', dose: 99_999 }],
    ['window', { kind: 'recipe set', recipe: 'house', window: { opens: 0, closes: 1 } }],
    ['window', { kind: 'recipe set', recipe: 'house', window: { opens: 22, closes: 17 } }],
    ['yield', { kind: 'recipe set', recipe: 'house', yield: { by: 'mass', grams: 0 } }],
    ['basket', { kind: 'recipe set', recipe: 'house', basket: 1 }],
    ['windowOpens', double('s', 19, { windowOpens: 0 })],
    ['windowCloses', double('s', 19, { windowCloses: 16 })],
    ['seconds', double('s', 4000)],
    ['notch', double('s', 19, { notch: 1e9 })],
  ] as const)('%s is refused by name', (field, entry) => {
    const [record] = recordsOf([entry])
    expect(refusalOf(record)?.field).toBe(`entry.${field}`)
  })
})

describe('text that trips a file up', () => {
  test('is refused where no text file may hold it', () => {
    const [record] = recordsOf([{ kind: 'named', what: 'person', number: 1, name: 'a\0b' }])
    expect(refusalOf(record)?.field).toBe('entry.name')
    const [setting] = recordsOf([{ kind: 'setting changed', setting: 'x', from: null, to: { a: ['\0'] } }])
    expect(refusalOf(setting)?.field).toBe('entry.to')
  })

  test.each([' =1', '\u00a0=1', '\u200b=1', '\ufeff=1', '\u3000\u200d+1', '\n @sum', '\u2066-1'])(
    'is not taken for a formula by a spreadsheet: %j',
    (name) => {
      const [record] = recordsOf([{ kind: 'named', what: 'coffee', number: 1, name }])
      if (!record) throw new Error('no record')
      expect(toCsvRows([record])).toContain(`'${name}`)
    },
  )
})
