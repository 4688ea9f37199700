import { describe, expect, test } from 'vitest'
import { effective } from '../../../src/logbook/effective.ts'
import { effectOf, withAmendments } from '../../../src/logbook/effect.ts'
import { double, recordsOf } from './makeRecords.ts'

const ids = (records: ReturnType<typeof recordsOf>) => records.map((record) => record.entry.id)

/** Names the record of an entry, in lists where entry n is record n. */
const of = (records: ReturnType<typeof recordsOf>, n: number) => records[n - 1]?.id ?? ''

describe('what holds of the log', () => {
  const shots = recordsOf([
    double('a', 15),
    { kind: 'judged', shot: 'a', looks: [], tastes: [], action: 'finer', serve: true },
    { kind: 'hand-off', shot: 'a', outcome: 'served', into: 'milk', margin: 4 },
    double('b', 19),
  ])

  test('leaves out a shot that was taken back, and what was said of it', () => {
    const records = recordsOf([
      ...shots.map(({ entry }) => entry),
      { kind: 'taken back', entry: 'e1', of: of(shots, 1) },
    ])
    expect(ids(effective(records))).toEqual(['e4'])
  })

  test('brings it back when the taking back is taken back', () => {
    const undone = recordsOf([
      ...shots.map(({ entry }) => entry),
      { kind: 'taken back', entry: 'e1', of: of(shots, 1) },
    ])
    const redone = recordsOf([
      ...undone.map(({ entry, of: target }) => ({ ...entry, ...(target && { of: target }) })),
      { kind: 'taken back', entry: 'e5', of: of(undone, 5) },
    ])
    expect(ids(effective(redone))).toEqual(['e1', 'e2', 'e3', 'e4'])
  })

  test('tells the last correction, and the one before when that is taken back', () => {
    const base = recordsOf([double('a', 15)])
    const corrected = recordsOf([
      double('a', 15),
      { kind: 'corrected', entry: 'e1', seconds: 18, of: of(base, 1) },
      { kind: 'corrected', entry: 'e1', seconds: 19, of: of(base, 1) },
    ])
    expect(effective(corrected)).toMatchObject([{ entry: { seconds: 19 } }])
    const back = recordsOf([
      double('a', 15),
      { kind: 'corrected', entry: 'e1', seconds: 18, of: of(base, 1) },
      { kind: 'corrected', entry: 'e1', seconds: 19, of: of(base, 1) },
      { kind: 'taken back', entry: 'e3', of: of(corrected, 3) },
    ])
    expect(effective(back)).toMatchObject([{ entry: { seconds: 18 } }])
  })

  test('keeps the shots of two devices apart that gave them the same name', () => {
    const one = recordsOf([
      double('a', 15),
      { kind: 'taken back', entry: 'e1', of: of(recordsOf([double('a', 15)]), 1) },
    ])
    const two = recordsOf(
      [double('a', 20), { kind: 'hand-off', shot: 'a', outcome: 'served', margin: 3 }],
      'tablet02',
    )
    expect(effective([...one, ...two]).map((record) => record.device)).toEqual(['tablet02', 'tablet02'])
  })
})

describe('the effect of an amendment on the counts', () => {
  test('adds up to what holds, through undo, redo and correction', () => {
    const steps = [
      double('a', 15),
      { kind: 'corrected', entry: 'e1', seconds: 18, of: 1 },
      { kind: 'taken back', entry: 'e1', of: 1 },
      { kind: 'taken back', entry: 'e3', of: 3 },
      { kind: 'taken back', entry: 'e2', of: 2 },
      { kind: 'corrected', entry: 'e1', seconds: 22, of: 1 },
    ] as const
    const unlinked = recordsOf(steps.map(({ ...step }) => ({ ...step, of: undefined }) as never))
    const records = unlinked.map((record, i) => {
      const target = (steps[i] as { of?: number }).of
      return target === undefined ? record : { ...record, of: of(unlinked, target) }
    })
    const sum = { shots: 1, inWindow: 0 }
    const counts = records.slice(1).map((amendment, i) => {
      const effect = effectOf(withAmendments(records.slice(0, i + 1), of(records, 1)), amendment)
      sum.shots += effect?.shots ?? 0
      sum.inWindow += effect?.inWindow ?? 0
      return { ...sum }
    })
    expect(counts).toEqual([
      { shots: 1, inWindow: 1 },
      { shots: 0, inWindow: 0 },
      { shots: 1, inWindow: 1 },
      { shots: 1, inWindow: 0 },
      { shots: 1, inWindow: 1 },
    ])
  })

  test('practice has none', () => {
    const [shot, back] = recordsOf([double('a', 15, { practice: true }), { kind: 'taken back', entry: 'e1' }])
    if (!shot || !back) throw new Error('no records')
    expect(effectOf([shot], { ...back, of: shot.id })).toBeUndefined()
  })
})
