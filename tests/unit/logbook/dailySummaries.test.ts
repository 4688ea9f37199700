import { describe, expect, test } from 'vitest'
import { dayFigures } from '../../../src/logbook/daySummary.ts'
import { openDays } from '../../../src/logbook/dailySummaries.ts'
import { openMemoryLogbook } from '../../../src/logbook/openMemoryLogbook.ts'
import { double, recordsOf } from './makeRecords.ts'

/** Local noon of a day in March 2026, in seconds. */
const noon = (date: number) => new Date(2026, 2, date, 12).getTime() / 1000
const shot = (n: number, at: number, seconds = 19) => ({ ...double(`s${n}`, seconds), id: `e${n}`, at })

async function figures(log: Awaited<ReturnType<typeof openMemoryLogbook>>) {
  return (await log.days.summaries())
    .map(dayFigures)
    .map(({ day, shots, inWindow }) => [day, shots, inWindow])
}

describe('day summaries', () => {
  test('follow what is logged, and only read the days asked for', async () => {
    const log = await openMemoryLogbook()
    await log.append([shot(1, noon(3)), shot(2, noon(4)), shot(3, noon(4) + 60, 30)])
    expect(await figures(log)).toEqual([
      ['2026-03-03', 1, 1],
      ['2026-03-04', 2, 1],
    ])
    await log.append(shot(4, noon(5)))
    expect((await log.days.summaries('2026-03-04', '2026-03-05')).map(({ day }) => day)).toEqual([
      '2026-03-04',
      '2026-03-05',
    ])
  })

  test('put shots on their own day while another device runs ahead', async () => {
    const log = await openMemoryLogbook({ clock: () => noon(3) * 1000 })
    // a row of a device whose clock is twenty hours ahead: what is logged after it is ordered after it
    await log.merge(recordsOf([{ ...double('s9', 19) }], 'tablet09', noon(3) + 20 * 3600))
    await log.append([shot(1, noon(3)), shot(2, noon(3) + 60, 30)])
    expect((await log.entries()).map(({ entry }) => entry.id)).toEqual(['e1', 'e1', 'e2'])
    const now = [
      ['2026-03-03', 2, 1],
      ['2026-03-04', 1, 1],
    ]
    expect(await figures(log)).toEqual(now)
    await log.append({ id: 'x', at: noon(3) + 120, kind: 'taken back', entry: 'e2' })
    expect(await figures(log)).toEqual([
      ['2026-03-03', 1, 1],
      ['2026-03-04', 1, 1],
    ])
    // made again from nothing they are the same
    expect(await openDays(log.store).summaries()).toEqual(await log.days.summaries())
  })

  test('follow an undo and a correction that come days later', async () => {
    const log = await openMemoryLogbook()
    await log.append([shot(1, noon(3)), shot(2, noon(3) + 60)])
    await figures(log)
    await log.append({ id: 'x', at: noon(8), kind: 'taken back', entry: 'e1' })
    await log.append({ id: 'y', at: noon(9), kind: 'corrected', entry: 'e2', seconds: 30 })
    expect((await figures(log))[0]).toEqual(['2026-03-03', 1, 0])
    // made anew from nothing they say the same
    expect((await openDays(log.store).summaries()).map(dayFigures)).toEqual(
      (await log.days.summaries()).map(dayFigures),
    )
  })

  test('count a hand-off after midnight for the shot before it', async () => {
    const log = await openMemoryLogbook()
    const midnight = new Date(2026, 2, 4).getTime() / 1000
    await log.append(shot(1, midnight - 5))
    await figures(log)
    await log.append({
      id: 'h',
      at: midnight + 3,
      kind: 'hand-off',
      shot: 's1',
      outcome: 'expired',
      margin: -1,
    })
    const summaries = await log.days.summaries()
    expect(summaries.map(dayFigures).map(({ day, expired }) => [day, expired])).toContainEqual([
      '2026-03-03',
      1,
    ])
  })

  test('follow what is merged and what is erased, and keep nobody who was erased', async () => {
    const log = await openMemoryLogbook()
    await log.append([
      { ...shot(1, noon(3)), person: 3 },
      { id: 'n', at: noon(3) + 1, kind: 'named', what: 'person', number: 3, name: 'a name' },
    ])
    expect(JSON.stringify(await log.days.standing())).toContain('a name')
    await log.erase({ id: 'x', at: noon(4), kind: 'person erased', person: 3 })
    expect(JSON.stringify(await log.days.standing())).not.toContain('a name')
    expect((await figures(log))[0]).toEqual(['2026-03-03', 1, 1])
    expect((await log.days.summaries()).flatMap(({ person }) => person)).toEqual([0])
  })

  test('have their own length on the days that clocks change', async () => {
    const log = await openMemoryLogbook()
    await log.append([
      shot(1, noon(28) + 43_000),
      shot(2, noon(29)),
      shot(3, noon(29) + 43_000),
      shot(4, noon(30)),
    ])
    expect((await figures(log)).reduce((sum, [, shots]) => sum + Number(shots), 0)).toBe(4)
  })
})
