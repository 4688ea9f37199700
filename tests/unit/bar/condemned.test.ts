import { describe, expect, it } from 'vitest'
import { openMemoryLogbook } from '../../../src/logbook/openMemoryLogbook.ts'
import { shiftReport } from '../../../src/logbook/report.ts'
import { driveBar } from './driveBar.ts'

const opened = (settings = {}) => driveBar(settings).say('open shift')

/** The report of all that a bar logged. */
async function reportOf(bar: ReturnType<typeof driveBar>) {
  const log = await openMemoryLogbook()
  await log.append(bar.log)
  return shiftReport(await log.shift())
}

describe('a shot that is not to be served', () => {
  // common practice: a double of 40 s, or of 6 s, is binned
  it.each([40, 6])(
    'is condemned with the first words after %d seconds, and no clock runs for it',
    (seconds) => {
      const bar = opened().say('start pour').wait(seconds)
      bar.cues.splice(0)
      bar.say('stop pour')
      expect(bar.said()[0]).toBe('shot.condemned')
      expect(bar.situation.waiting).toBe(0)
      expect(bar.entries('judged')).toMatchObject([{ shot: bar.entries('shot')[0]?.shot, serve: false }])
      bar.wait(12)
      expect(bar.said()).toEqual([])
      bar.say('hand off', { into: 'milk', which: null })
      expect(bar.said()).toEqual(['handoff.none'])
    },
  )

  it('gets its advice at once, and once', () => {
    const bar = opened().pull(40)
    expect(bar.said().filter((sentence) => sentence.startsWith('action.'))).toHaveLength(1)
    bar.say('look', { look: 'dark drips' }).say('next')
    expect(bar.said().filter((sentence) => sentence.startsWith('action.')).length).toBeLessThanOrEqual(1)
  })

  it('counts as waste', async () => {
    const bar = opened().pull(40).pull(20).say('hand off', { into: 'milk', which: null })
    expect(await reportOf(bar)).toMatchObject({ shots: 2, served: 1, wasted: 1 })
  })

  it('can be served all the same: its cups wait with the time they have left, and it is no waste', async () => {
    const bar = opened().say('cups', { count: 2 }).pull(40).wait(3).say('serve anyway')
    expect(bar.said()).toContain('shot.overruled')
    expect(bar.situation.waiting).toBe(2)
    bar.say('hand off', { into: 'milk', which: 'all' })
    expect(bar.entries('hand-off')).toMatchObject([
      { outcome: 'served', margin: 7 },
      { outcome: 'served', margin: 7 },
    ])
    expect(bar.entries('judged').at(-1)).toMatchObject({ serve: true })
    expect(await reportOf(bar)).toMatchObject({ served: 1, wasted: 0 })
  })

  it('is condemned again when that is taken back', async () => {
    const bar = opened().pull(40).say('serve anyway').say('undo')
    expect(bar.situation.waiting).toBe(0)
    expect(await reportOf(bar)).toMatchObject({ served: 0, wasted: 1 })
  })

  it('that was condemned by a look is served again from where its clock was', async () => {
    const bar = opened().pull(20).wait(2).say('look', { look: 'no crema' }).wait(1).say('serve anyway')
    expect(bar.situation.waiting).toBe(1)
    bar.say('hand off', { into: 'milk', which: null })
    expect(await reportOf(bar)).toMatchObject({ served: 1, wasted: 0, discarded: 0 })
  })

  it('is not made of one that may be served', () => {
    const bar = opened().pull(20).say('serve anyway')
    expect(bar.said()).toContain('shot.may-be-served')
    expect(bar.situation.waiting).toBe(1)
  })

  it('is not lost in a reload', () => {
    const bar = opened().pull(40).reload(2).say('serve anyway')
    expect(bar.situation.waiting).toBe(1)
  })
})

describe('while a cup waits', () => {
  it('nothing is advised and no creep is spoken of: those seconds belong to the hand-off', () => {
    const bar = opened()
    let time = 18
    let warnedAt: readonly string[] = []
    for (let shot = 0; shot < 30 && bar.entries('drift warned').length === 0; shot++) {
      bar.said()
      bar.pull((time *= 1.015)).say('taste', { taste: 'good' })
      const during = bar.said()
      expect(during.filter((said) => /^(action|reason|drift)/.test(said))).toEqual([])
      bar.wait(1).say('hand off', { into: 'milk', which: null })
      warnedAt = bar.said()
    }
    expect(bar.entries('drift warned')).toHaveLength(1)
    expect(warnedAt).toContain('drift.slower')
  })

  it('a taste is noted, and what it means is said once, after the hand-off', () => {
    const bar = opened().pull(20)
    bar.said()
    bar.say('taste', { taste: 'sour' })
    expect(bar.said()).toEqual(['shot.seen'])
    bar.say('hand off', { into: 'milk', which: null }).say('next')
    expect(bar.said().filter((sentence) => sentence.startsWith('action.'))).toHaveLength(1)
  })
})
