import { describe, expect, it } from 'vitest'
import { handOffCues } from '../../../src/bar/index.ts'
import { destinations } from '../../../src/messages/command.ts'
import { driveBar } from './driveBar.ts'

const poured = (settings = {}) => driveBar(settings).say('open shift').pull(20)

describe('a hand-off clock', () => {
  it('warns from five seconds left with beats that come closer, and sounds the limit', () => {
    const cues = handOffCues({ shot: 'a', voice: 1, start: 100, limit: 10 }, 100, false)
    const at = (earcon: string) =>
      cues.flatMap((cue) => (cue.kind === 'earcon' && cue.earcon === earcon ? [cue.at ?? NaN] : []))
    const beats = at('warning')
    expect(beats[0]).toBe(105)
    const gaps = beats.slice(1).map((beat, index) => beat - (beats[index] ?? 0))
    expect(gaps).toEqual(gaps.toSorted((a, b) => b - a))
    expect(at('limit')).toEqual([110])
  })

  it('expires when nobody names a liquid', () => {
    const bar = poured().wait(12)
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'expired' }])
    expect(bar.said()).toContain('handoff.expired')
  })

  it('counts a word that began in time though it was understood after the limit', () => {
    const bar = poured()
    const end = bar.now
    bar.wait(10.8)
    bar.bar.send({
      type: 'hand off',
      intent: 'hand off',
      slots: { into: 'milk', which: null },
      onset: end + 9.9,
      end: end + 10.2,
      confidence: 1,
      heard: 'milk',
      source: 'voice',
    })
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'served' }])
  })

  it('is served neat, over ice or into anything that a bar pours into', () => {
    for (const into of destinations) {
      const bar = poured().wait(2).say('hand off', { into, which: null })
      expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'served', into, margin: 8 }])
    }
  })

  it('does not serve after the limit', () => {
    const bar = poured().wait(10.5).say('hand off', { into: 'milk', which: null })
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'expired' }])
  })

  it('corrects sauce and powder while the clock runs on', () => {
    const bar = poured().wait(3).say('hand off refused', { into: 'sauce' })
    expect(bar.said()).toContain('handoff.not-liquid.sauce')
    expect(bar.situation.waiting).toBe(1)
    bar.say('hand off', { into: 'syrup', which: null })
    expect(bar.entries('hand-off')).toMatchObject([{ into: 'syrup', margin: 7 }])
  })

  it('tells two cups apart by order, and closes one or all', () => {
    const bar = driveBar().say('open shift').say('cups', { count: 2 }).pull(20)
    expect(bar.situation.waiting).toBe(2)
    bar.say('hand off', { into: 'milk', which: 'second' })
    expect(bar.situation.waiting).toBe(1)
    bar.wait(12)
    expect(bar.entries('hand-off').map(({ outcome }) => outcome)).toEqual(['served', 'expired'])
    expect(bar.said()).toContain('handoff.expired.cup')
    bar.say('cups', { count: 2 }).pull(20).say('hand off', { into: 'water', which: 'all' })
    expect(bar.situation.waiting).toBe(0)
  })

  it('runs one clock a group when two groups pour one after the other', () => {
    const bar = driveBar({ handOffLimit: 30 }).say('open shift').pull(18).pull(18)
    expect(bar.situation.waiting).toBe(2)
    bar.say('hand off', { into: 'milk', which: 'first' }).say('hand off', { into: 'milk', which: 'last' })
    expect(bar.entries('hand-off').map(({ shot }) => shot)).toEqual(
      bar.entries('shot').map(({ shot }) => shot),
    )
  })

  it('throws a cup out only after a yes', () => {
    const bar = poured().say('discard', { which: null })
    expect(bar.situation.waiting).toBe(1)
    bar.say('yes')
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'discarded' }])
  })

  it('obeys the house limit, within sane bounds', () => {
    const bar = driveBar().say('open shift').say('set', { setting: 'hand-off limit', value: 15 }).pull(20)
    bar.wait(13).say('hand off', { into: 'milk', which: null })
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'served', margin: 2 }])
    bar.said()
    bar.say('set', { setting: 'hand-off limit', value: 500 })
    expect(bar.said()).toContain('setting.out-of-range')
    expect(bar.bar.getSnapshot().context.settings.handOffLimit).toBe(15)
  })

  it('opens the words for liquids only while a cup is waiting', () => {
    const bar = driveBar().say('open shift')
    expect(bar.open).not.toContain('handoff')
    expect(bar.pull(20).open).toContain('handoff')
    expect(bar.wait(12).open).not.toContain('handoff')
  })
})

describe('somebody who never says where the cup went', () => {
  const unsaid = () => {
    const bar = driveBar().say('open shift')
    for (let shot = 0; shot < 3; shot++) bar.pull(20).wait(14)
    return bar
  }
  const offered = (bar: ReturnType<typeof driveBar>) => bar.said().includes('handoff.offer')

  it('is offered, once, to leave the clock out', () => {
    const bar = unsaid()
    expect(offered(bar)).toBe(true)
    bar.say('no')
    for (let shot = 0; shot < 4; shot++) bar.pull(20).wait(14)
    expect(offered(bar)).toBe(false)
  })

  it('hears no alarm once it is left out, and nothing of it is logged as expired', () => {
    const bar = unsaid().say('yes')
    bar.cues.length = 0
    bar.pull(20).wait(20)
    const heard = bar.cues.flatMap((cue) => (cue.kind === 'earcon' ? [cue.earcon] : []))
    expect(heard).not.toContain('limit')
    expect(heard).not.toContain('warning')
    expect(bar.entries('hand-off')).toHaveLength(3)
    const takenBack = bar.entries('taken back').map(({ entry }) => entry)
    expect(bar.entries('hand-off').map(({ id }) => id)).toEqual(takenBack)
  })

  it('still hears the advice at once', () => {
    const bar = unsaid().say('yes')
    bar.said()
    bar.pull(20)
    expect(bar.said().some((sentence) => sentence.startsWith('action.'))).toBe(true)
  })

  it('may go on without an answer', () => {
    const bar = unsaid()
    bar.say('start pour')
    expect(bar.place).toBe('pouring')
    expect(bar.situation.asking).toBe('nothing')
    const silent = unsaid().wait(30)
    expect(silent.situation.asking).toBe('nothing')
  })

  it('is not asked when one of the cups was named', () => {
    const bar = driveBar().say('open shift')
    for (let shot = 0; shot < 6; shot++) {
      bar.pull(20).wait(2)
      if (shot % 2 === 0) bar.say('hand off', { into: 'milk', which: null })
      bar.wait(14)
    }
    expect(offered(bar)).toBe(false)
  })

  it('hears that an unfit shot is not to be served all the same', () => {
    const bar = unsaid().say('yes').wait(1)
    bar.said()
    bar.pull(40)
    expect(bar.loop.current.handOff).not.toBe('served')
    expect(bar.loop.step?.serve).toBe(false)
  })

  it('may have the clock of the recipe in use left out, and back, by voice', () => {
    const bar = driveBar().say('open shift').say('set', { setting: 'hand-off clock', value: false })
    expect(bar.pull(20).situation.waiting).toBe(0)
    bar.say('next').say('recipe', { recipe: 'triple' })
    expect(bar.pull(27).situation.waiting).toBe(1)
    bar.wait(14).say('next').say('recipe', { recipe: 'double' })
    bar.say('set', { setting: 'hand-off clock', value: true })
    expect(bar.pull(20).situation.waiting).toBe(1)
  })
})
