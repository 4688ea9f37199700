import { describe, expect, it } from 'vitest'
import { summariseDay } from '../../../src/logbook/daySummary.ts'
import { historyCsv, historyOf, namesIn, weekReport } from '../../../src/logbook/history.ts'
import type { Entry } from '../../../src/messages/entry.ts'
import { double, recordsOf } from './makeRecords.ts'

type Shot = Partial<Extract<Entry, { kind: 'shot' }>>

/** A day of shots, half an hour apart from eight o'clock. */
function day(date: number, times: readonly number[], more: Shot = {}, outcomes: readonly string[] = []) {
  const begin = new Date(2026, 2, date, 8).getTime() / 1000
  const entries = times.flatMap((seconds, i): Entry[] => {
    const shot = {
      ...double(`s${date}-${i}`, seconds),
      at: begin + 1800 * i,
      id: `e${date}-${i}`,
      ...more,
    } as Entry
    const outcome = outcomes[i]
    if (outcome === undefined) return [shot]
    return [
      shot,
      {
        kind: 'hand-off',
        id: `h${date}-${i}`,
        at: begin + 1800 * i + 5,
        shot: `s${date}-${i}`,
        outcome: outcome as 'served',
        margin: 1,
      },
    ]
  })
  return summariseDay(`2026-03-${String(date).padStart(2, '0')}`, recordsOf(entries, 'tablet01', begin))
}

describe('the history of days', () => {
  it('counts hits, the shots until the first one, and waste', () => {
    const { days, shots, inWindow, wasted } = historyOf([
      day(2, [14, 15, 19, 20], {}, ['discarded', 'discarded', 'served', 'expired']),
      day(3, [20]),
    ])
    expect(days).toMatchObject([
      { day: '2026-03-02', shots: 4, inWindow: 2, firstHit: 3, wasted: 3 },
      { day: '2026-03-03', shots: 1, inWindow: 1, firstHit: 1, wasted: 0 },
    ])
    expect({ shots, inWindow, wasted }).toEqual({ shots: 5, inWindow: 3, wasted: 3 })
  })

  it('has no first hit on a day without one, and no day without shots', () => {
    const { days } = historyOf([day(2, [12, 13]), day(3, [])])
    expect(days).toMatchObject([{ day: '2026-03-02', firstHit: null }])
  })

  it('shows one coffee, grinder or barista when asked to', () => {
    const summaries = [day(2, [19], { coffee: 2, person: 3 }), day(3, [20], { coffee: 1, person: 4 })]
    expect(namesIn(summaries)).toMatchObject({ coffee: [1, 2], person: [3, 4] })
    expect(historyOf(summaries, { coffee: 2 }).days.map(({ day }) => day)).toEqual(['2026-03-02'])
    expect(historyOf(summaries, { coffee: 2, person: 4 }).days).toEqual([])
  })

  it('finds the drift at an untouched grind, hour by hour', () => {
    // 2 % an hour, so 1.0 % between two shots: after three hours (1.01)^6
    const times = Array.from({ length: 7 }, (_, i) => 20 * 1.01 ** i)
    const { drift } = historyOf([day(2, times), day(3, times)])
    expect(drift.hour).toEqual([8, 9, 10, 11])
    expect(drift.percent.at(-1)).toBeCloseTo(100 * (1.01 ** 6 - 1), 6)
  })

  it('finds it when two coffees take turns on one grinder', () => {
    const summary = day(2, [20, 30, 20.4, 30.6, 20.8, 31.2])
    const { drift } = historyOf([{ ...summary, coffee: [1, 2, 1, 2, 1, 2] }])
    expect(drift.percent.at(-1)).toBeGreaterThan(2)
  })

  it('begins again when the grind was moved and moved back', () => {
    const summary = day(2, [20, 30, 40])
    expect(historyOf([{ ...summary, notch: [10, 11, 10] }]).drift.hour).toEqual([])
  })

  it('takes a move of the grind for no drift', () => {
    const { drift } = historyOf([day(2, [20], { notch: 10 }), day(3, [30], { notch: 11 })])
    expect(drift.hour).toEqual([])
  })

  it('is saved as a table', () => {
    expect(historyCsv(historyOf([day(2, [14, 19])]))).toMatch(
      /^day,shots,inWindow,firstHit,wasted,notch\r\n2026-03-02,2,1,2,0,\d+\r\n$/,
    )
  })
})

describe('the week in words', () => {
  const now = new Date(2026, 2, 14, 20).getTime()
  const hits = (n: number, of: number) => Array.from({ length: of }, (_, i) => (i < n ? 20 : 30))

  it('says so when nothing was pulled', () => {
    expect(weekReport([], now)).toEqual([{ sentence: 'week.none' }])
  })

  it('says how many shots, how soon the window was hit, and what was wasted', () => {
    expect(weekReport([day(13, [14, 20], {}, ['discarded'])], now)).toEqual([
      { sentence: 'week.shots', values: { shots: 2, percent: 50 } },
      { sentence: 'week.first-hit', values: { shots: 2 } },
      { sentence: 'week.waste', values: { wasted: 1 } },
    ])
  })

  it.each([
    [18, 10, { sentence: 'week.better', values: { points: 40 } }],
    [10, 18, { sentence: 'week.worse', values: { points: 40 } }],
    [15, 15, { sentence: 'week.same' }],
  ])('compares two full weeks: %d and %d of 20', (this_, before, said) => {
    const summaries = [day(5, hits(before, 20)), day(12, hits(this_, 20))]
    expect(weekReport(summaries, now)[1]).toEqual(said)
  })
})
