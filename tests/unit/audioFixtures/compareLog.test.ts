import { describe, expect, test } from 'vitest'
import type { Entry } from '../../../src/messages/entry.ts'
import { compareLog, medianAndWorst, shotErrors } from '../../rehearse/compareLog.ts'

const shot = (seconds: number): Entry => ({
  id: 'a',
  at: 0,
  kind: 'shot',
  shot: 's',
  recipe: 'double',
  coffee: 1,
  grinder: 1,
  seconds,
  windowOpens: 17,
  windowCloses: 22,
  notch: 10,
  purged: true,
  practice: false,
})
const purged: Entry = { id: 'b', at: 1, kind: 'purged' }

describe('a log against a session', () => {
  test('passes when entries, order, named fields and times agree', () => {
    expect(compareLog([purged, shot(20.1)], [{ kind: 'purged' }, { kind: 'shot', notch: 10 }], [20])).toEqual(
      [],
    )
  })

  test.each([
    ['an entry is missing', [purged], [{ kind: 'purged' }, { kind: 'purged' }], [], 'entry 2 is missing'],
    ['an entry is too many', [purged, purged], [{ kind: 'purged' }], [], 'entry 2 is too many'],
    ['a kind differs', [purged], [{ kind: 'new bag' }], [], 'kind is "purged", not "new bag"'],
    ['a field differs', [shot(20)], [{ kind: 'shot', notch: 11 }], [20], 'notch is 10, not 11'],
    ['a time is off', [shot(20.2)], [{ kind: 'shot' }], [20], 'shot 1 is 0.200 s from the truth'],
    ['a shot was not logged', [], [], [20], '0 shots were logged, 1 were poured'],
  ])('fails when %s', (_, log, expected, pours, difference) => {
    expect(compareLog(log, expected, pours).join()).toContain(difference)
  })
})

test('errors have a sign, their median and worst have none', () => {
  const errors = shotErrors([shot(19.9), purged, shot(20.3), shot(20)], [20, 20, 20])
  expect(errors.map((error) => Number(error.toFixed(3)))).toEqual([-0.1, 0.3, 0])
  const { median, worst } = medianAndWorst(errors)
  expect(median).toBeCloseTo(0.1)
  expect(worst).toBeCloseTo(0.3)
})
