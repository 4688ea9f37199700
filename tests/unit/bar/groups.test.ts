import { describe, expect, it } from 'vitest'
import { randomFrom } from '../../../src/coffee/random.ts'
import type { Group } from '../../../src/messages/command.ts'
import { driveBar } from './driveBar.ts'

const opened = () => driveBar().say('open shift')

describe('two groups', () => {
  it('are timed at once, each by its own words, and logged once each', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(6).say('start group', { group: 'right' })
    bar.wait(13).say('stop group', { group: 'left' }).wait(7).say('stop group', { group: 'right' })
    expect(bar.entries('shot').map(({ seconds }) => Math.round(seconds))).toEqual([19, 20])
    expect(new Set(bar.entries('shot').map(({ shot }) => shot)).size).toBe(2)
    expect(bar.situation.waiting).toBe(2)
  })

  it('"start" alone means the idle one, "stop" alone the only one that pours', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(5).say('start pour')
    expect(bar.loop.pours.map(({ group }) => group)).toEqual(['left', 'right'])
    bar.wait(13).say('stop group', { group: 'left' }).wait(6).say('stop pour')
    expect(bar.entries('shot').map(({ seconds }) => Math.round(seconds))).toEqual([18, 19])
  })

  it('asks which one when "stop" could mean either, and counts from that word', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(1).say('start pour').wait(18)
    bar.said()
    bar.say('stop pour')
    expect(bar.said()).toEqual(['pour.which'])
    bar.wait(2).say('stop group', { group: 'right' })
    expect(bar.entries('shot').map(({ seconds }) => Math.round(seconds))).toEqual([18])
  })

  it('asks for a name before a second pour when the first has none, and then knows both', () => {
    const bar = opened().say('start pour').wait(5).say('start pour')
    expect(bar.loop.pours).toHaveLength(1)
    expect(bar.said()).toContain('pour.name-group')
    bar.say('start group', { group: 'right' })
    expect(bar.loop.pours.map(({ group }) => group)).toEqual(['left', 'right'])
    bar.say('start group', { group: 'right' })
    expect(bar.said()).toContain('pour.both')
  })

  it('refuses what the named group cannot do', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(5)
    bar.said()
    bar.say('start group', { group: 'left' }).say('stop group', { group: 'right' })
    expect(bar.said()).toEqual(['pour.taken', 'pour.none-there'])
    expect(bar.loop.pours).toHaveLength(1)
  })

  it('are told apart by ear: by side, by pitch and by name', () => {
    const bar = opened().say('start group', { group: 'left' }).say('start pour')
    const opens = bar.cues.filter((cue) => cue.kind === 'say' && cue.sentence === 'pour.opens.group')
    expect(opens).toMatchObject([
      { side: 'left', values: { group: 'word.left' } },
      { side: 'right', values: { group: 'word.right' } },
    ])
    const ticks = bar.cues.filter((cue) => cue.kind === 'earcon' && cue.earcon === 'tick')
    expect(new Set(ticks.map((cue) => ('side' in cue ? cue.side : undefined)))).toEqual(
      new Set(['left', 'right']),
    )
  })

  it('a false start on one leaves the other', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(10).say('start pour').wait(1).say('undo')
    expect(bar.loop.pours.map(({ group }) => group)).toEqual(['left'])
    bar.wait(8).say('stop pour')
    expect(bar.entries('shot').map(({ seconds }) => Math.round(seconds))).toEqual([19])
  })

  it('go on after a reload, and are lost one by one when nobody ends them', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(6).say('start pour').reload(5)
    expect(bar.loop.pours).toHaveLength(2)
    bar.wait(9).say('stop group', { group: 'left' })
    expect(bar.entries('shot').map(({ seconds }) => Math.round(seconds))).toEqual([20])
    bar.wait(200)
    expect(bar.entries('lost')).toHaveLength(1)
    expect(bar.loop.pours).toEqual([])
  })
})

describe('several grinders', () => {
  it('keep a notch, a purge and a belief each', () => {
    const bar = opened().pull(9).say('grind by', { notches: 2 }).say('grinder', { number: 2 })
    expect(bar.said()).toContain('shift.grinder.new')
    bar.say('grind at', { notch: 6 })
    expect(bar.entries('grind moved').at(-1)).toMatchObject({ notch: 6 })
    expect(bar.loop.purged).toBe(true)
    bar.pull(20).say('hand off', { into: 'milk', which: null }).say('next').say('grinder', { number: 1 })
    expect(bar.loop).toMatchObject({ grinder: 1, notch: 12, purged: false })
    expect(bar.entries('shot')[1]).toMatchObject({ grinder: 2, notch: 6 })
  })

  it('a coffee is in the hopper of a grinder: choosing it goes there', () => {
    const bar = opened()
      .say('grinder', { number: 2 })
      .say('coffee', { number: 5 })
      .say('grinder', { number: 1 })
    bar.say('coffee', { number: 5 })
    expect(bar.loop).toMatchObject({ grinder: 2, coffee: 5 })
    bar.say('coffee', { number: 1 })
    expect(bar.loop).toMatchObject({ grinder: 1, coffee: 1 })
  })

  it('a move after a shot is on the grinder of that shot', () => {
    const bar = opened().say('start group', { group: 'left' }).wait(2)
    bar.bar.send({ type: 'moved in drill', notches: 0, at: bar.now })
    bar.wait(7).say('stop pour').say('grind by', { notches: 1 })
    expect(bar.loop).toMatchObject({ grinder: 1, notch: 11 })
  })
})

describe('"purged" may be left unsaid', () => {
  it('a full dose clears the grinder: it is asked once, and learning goes on', () => {
    const bar = opened()
      .pull(14)
      .say('hand off', { into: 'milk', which: null })
      .say('grind by', { notches: 1 })
    expect(bar.said().filter((said) => said === 'grind.purge')).toHaveLength(1)
    bar.pull(16).say('hand off', { into: 'milk', which: null }).say('leave it')
    bar.pull(18).say('hand off', { into: 'milk', which: null }).say('leave it')
    expect(bar.entries('shot').map(({ purged }) => purged)).toEqual([true, false, true])
    expect(bar.said()).not.toContain('grind.purge')
    expect(bar.loop.beliefs['1/1']?.learnt).toBe(3)
  })

  it('a basket that was not pulled after all still holds the old grounds', () => {
    const bar = opened().pull(14).say('grind by', { notches: 1 }).say('start pour').wait(1).say('stop pour')
    expect(bar.loop.purged).toBe(false)
  })
})

describe('any order of two pours, three grinders and six cups', () => {
  it('loses or doubles no shot, and a notch changes by its own moves alone', () => {
    for (let run = 1; run <= 30; run++) {
      const random = randomFrom(run).uniform
      const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)] as T
      const bar = opened()
      const notches = new Map<number, number>()
      const started = new Set<string>()
      let ended = 0
      const groups: readonly Group[] = ['left', 'right']
      const moves: Record<string, () => unknown> = {
        'start left or right': () => bar.say('start group', { group: pick(groups) }),
        start: () => bar.say('start pour'),
        'stop left or right': () => bar.say('stop group', { group: pick(groups) }),
        stop: () => bar.say('stop pour'),
        grinder: () => bar.say('grinder', { number: pick([1, 2, 3]) }),
        coffee: () => bar.say('coffee', { number: pick([1, 2]) }),
        finer: () => bar.say('grind by', { notches: pick([1, -1]) }),
        purged: () => bar.say('purged'),
        cups: () => bar.say('cups', { count: pick([1, 2, 3]) }),
        milk: () => bar.say('hand off', { into: 'milk', which: pick(['first', 'last', null] as const) }),
        next: () => bar.say('next'),
        'leave it': () => bar.say('leave it'),
        wait: () => bar.wait(pick([2, 6, 9])),
        reload: () => bar.reload(1),
      }
      const done: string[] = []
      for (let step = 0; step < 60; step++) {
        const before = bar.log.length
        const pouring = bar.loop.pours.length
        const name = pick(Object.keys(moves))
        moves[name]?.()
        bar.wait(0.5)
        done.push(name)
        const trace = `run ${run}: ${done.join(', ')}`
        const fresh = bar.log.slice(before)
        for (const { id } of bar.loop.pours) started.add(id)
        ended += fresh.filter(({ kind }) => kind === 'shot').length
        // a pour that is gone was logged, or taken back as a false start
        expect(fresh.filter(({ kind }) => kind === 'shot').length, trace).toBeLessThanOrEqual(
          Math.max(0, pouring - bar.loop.pours.length) + (name.startsWith('start') ? 1 : 0),
        )
        expect(bar.loop.pours.length, trace).toBeLessThanOrEqual(2)
        expect(new Set(bar.log.map(({ id }) => id)).size, trace).toBe(bar.log.length)
        const { grinder, notch, others } = bar.loop
        const moved = fresh.flatMap((entry) => (entry.kind === 'grind moved' ? [entry.notch] : []))
        for (const [number, at] of [
          [grinder, notch] as const,
          ...Object.entries(others).map(([other, setup]) => [Number(other), setup.notch] as const),
        ]) {
          const was = notches.get(number)
          if (was !== undefined && was !== at) expect(moved, trace).toContain(at)
          notches.set(number, at)
        }
      }
      const shots = bar.entries('shot').map(({ shot }) => shot)
      expect(new Set(shots).size).toBe(shots.length)
      expect(shots.length).toBe(ended)
      for (const shot of shots) expect(started.has(shot)).toBe(true)
      expect(bar.loop.tally.shots).toBe(shots.length)
    }
  })
})
