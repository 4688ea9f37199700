import fc from 'fast-check'
import { expect, test } from 'vitest'
import { backOff } from '../../../src/logbook/backOff.ts'

test('waits twice as long each time, ten minutes at the most', () => {
  const waits = Array.from({ length: 14 }).reduce<number[]>(
    (list) => [...list, backOff(list.at(-1) ?? 0, 1000, 0.5)],
    [],
  )
  expect(waits.slice(0, 5)).toEqual([1000, 2000, 4000, 8000, 16_000])
  expect(waits.at(-1)).toBe(600_000)
})

test('with a quarter more or less, by chance, so that devices come back one by one', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 1e6 }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (delay, chance) => {
        const even = backOff(delay, 1000, 0.5)
        const wait = backOff(delay, 1000, chance)
        expect(wait).toBeGreaterThanOrEqual(Math.floor(even * 0.75))
        expect(wait).toBeLessThanOrEqual(Math.ceil(even * 1.25))
      },
    ),
  )
})
