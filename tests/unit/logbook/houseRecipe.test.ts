import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { lastSet, names, recipeCards } from '../../../src/logbook/houseRecipe.ts'
import { double, morning, recordsOf } from './makeRecords.ts'

const byId = (a: { id: string }, b: { id: string }) => (a.id < b.id ? -1 : 1)

describe('a house recipe', () => {
  const [base] = recordsOf([
    { kind: 'recipe set', recipe: 'house', dose: 18, window: { opens: 20, closes: 26 } },
  ])
  if (!base) throw new Error('no record')
  const edit = (device: string, seconds: number, change: object, of = base.id) =>
    recordsOf([{ kind: 'recipe set', recipe: 'house', ...change, of }], device, morning + seconds)
  const one = edit('tablet01', 10, { dose: 19 })
  const two = edit('tablet02', 20, { dose: 20, window: { opens: 24, closes: 28 } })
  const three = edit('tablet03', 30, { window: { opens: 18, closes: 23 } })

  test('changed on three devices that did not know of each other comes out the same on all', () => {
    const all = [base, ...one, ...two, ...three]
    fc.assert(
      fc.property(fc.shuffledSubarray(all, { minLength: 4 }), (records) => {
        const [card] = recipeCards(records.toSorted(byId))
        expect(card?.values).toEqual({ dose: 20, window: { opens: 18, closes: 23 } })
        expect(card?.contested.map(({ field, holds, aside }) => [field, holds.device, aside.device])).toEqual(
          [
            ['dose', 'tablet02', 'tablet01'],
            ['window', 'tablet03', 'tablet02'],
          ],
        )
      }),
    )
  })

  test('is settled by a change that knows of what holds', () => {
    const settled = edit('tablet01', 60, { dose: 18.5 }, two[0]?.id)
    const [card] = recipeCards([base, ...one, ...two, ...three, ...settled])
    expect(card?.values.dose).toBe(18.5)
    expect(card?.contested.map(({ field }) => field)).toEqual(['window'])
  })

  test('is settled field by field, by a change made from what holds there', () => {
    const all = [base, ...one, ...two, ...three]
    const change = { kind: 'recipe set', id: 'x', at: morning, recipe: 'house', dose: 19 } as const
    const from = lastSet(change, all.toReversed())
    // the last that sets the dose, not the last of all
    expect(from).toBe(two[0])
    const settled = edit('tablet01', 60, { dose: 19 }, from?.id)
    const [card] = recipeCards([...settled, ...all])
    expect(card?.values.dose).toBe(19)
    expect(card?.contested.map(({ field }) => field)).toEqual(['window'])
    expect(lastSet({ ...change, dose: 20, recipe: 'other' }, all)).toBeUndefined()
  })

  test('changed one after another is contested by nobody', () => {
    const later = edit('tablet02', 40, { dose: 21 }, one[0]?.id)
    expect(recipeCards([base, ...one, ...later])).toMatchObject([{ values: { dose: 21 }, contested: [] }])
  })
})

test('the last name given holds', () => {
  const records = recordsOf([
    { kind: 'named', what: 'coffee', number: 1, name: 'first' },
    { kind: 'named', what: 'coffee', number: 1, name: 'second' },
    { kind: 'named', what: 'grinder', number: 1, name: 'left' },
    double('a', 18),
  ])
  expect(names(records)).toEqual([
    { what: 'coffee', number: 1, name: 'second' },
    { what: 'grinder', number: 1, name: 'left' },
  ])
})
