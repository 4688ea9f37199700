import { describe, expect, it } from 'vitest'
import { bundledDrills } from '../../../grammar/bundledDrills.ts'
import { readDrill } from '../../../grammar/drill.ts'
import { driveBar } from './driveBar.ts'

const started = (number: number, settings = {}) =>
  driveBar(settings).say('open shift').say('person', { number: 3 }).say('drill', { number })

describe('a drill', () => {
  it('(a) makes a fast shot on purpose and scores it', () => {
    const bar = started(1).say('grind by', { notches: -3 }).say('next')
    bar.pull(7).say('hand off', { into: 'milk', which: null }).say('next')
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'fast-shot', person: 3, passed: true }])
    expect(bar.said()).toContain('score.fast.passed')
    expect(bar.place).toBe('grind')
    expect(bar.loop.notch).toBe(7)
    expect(bar.loop.purged).toBe(false)
  })

  it('gives every caution a step has, however short the prompts are', () => {
    const bar = started(1, { prompts: 'warnings' }).say('grind by', { notches: -3 })
    bar.said()
    bar.say('next')
    expect(bar.said()).toContain('drill.fast-shot.3.caution')
  })

  it('(b) makes a slow shot on purpose', () => {
    const bar = started(2).say('grind by', { notches: 4 }).say('next').pull(35).say('next')
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'slow-shot', passed: true }])
  })

  it('(c) goes on until a shot lands in the window', () => {
    const bar = started(3).pull(9)
    expect(bar.said()).toContain('drill.missed')
    bar
      .say('grind by', { notches: 1 })
      .say('purged')
      .pull(13)
      .say('grind by', { notches: 1 })
      .pull(19)
      .say('next')
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'find-window', score: 3, passed: true }])
  })

  it('(d) tells rested from fresh: one cup at once, the other after a minute, tasted blind', () => {
    const bar = started(4).pull(20)
    expect(bar.situation.waiting).toBe(2)
    bar.say('hand off', { into: 'milk', which: 'first' }).wait(12)
    expect(bar.entries('hand-off').map(({ outcome }) => outcome)).toEqual(['served', 'expired'])
    bar.said()
    bar.wait(60)
    expect(bar.said()).toContain('drill.rest')
    bar.say('next')
    for (let tries = 0; tries < 4; tries++) {
      expect(bar.open).toContain('confirm')
      bar.say('yes')
    }
    expect(bar.entries('drill scored')).toMatchObject([
      { drill: 'rested-against-fresh', score: 100, passed: true },
    ])
  })

  it('(d) takes back what a step says once it is over, but for its caution', () => {
    const bar = started(4).pull(20)
    bar.cues.splice(0)
    bar.say('hand off', { into: 'milk', which: 'first' })
    const served = bar.cues.findIndex((cue) => cue.kind === 'say' && cue.sentence === 'handoff.served')
    const cancelled = bar.cues.findIndex((cue) => cue.kind === 'cancel' && cue.tag === 'drill step')
    const next = bar.cues.findIndex((cue) => cue.kind === 'say' && cue.tag === 'drill step')
    expect([served, cancelled, next]).toEqual([served, cancelled, next].toSorted((one, other) => one - other))
    expect(bar.cues[next]).toMatchObject({ sentence: 'drill.rested-against-fresh.3.say' })
    const cautions = bar
      .say('skip')
      .cues.filter((cue) => cue.kind === 'say' && cue.sentence.endsWith('.caution'))
    expect(cautions.map((cue) => cue.kind === 'say' && cue.tag)).toEqual([undefined])
  })

  it('(e) scores the spread of five shots at one setting', () => {
    const bar = started(5)
    for (const seconds of [18, 18.5, 19, 18.2, 18.4]) bar.pull(seconds)
    expect(bar.entries('drill scored')).toMatchObject([
      { drill: 'consistency', passed: true, unit: 'percent' },
    ])
  })

  it('(f) scores ten tamps in pounds or kilograms', () => {
    const bar = started(6)
    for (let press = 0; press < 5; press++)
      bar
        .say('tamp force', { amount: 40, unit: 'pounds' })
        .say('tamp force', { amount: 18, unit: 'kilograms' })
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'tamp', passed: true }])
  })

  it('refuses a press that cannot be, and goes on', () => {
    const bar = started(6).say('tamp force', { amount: 4000, unit: 'pounds' })
    expect(bar.said()).toContain('trouble.press')
    for (let press = 0; press < 10; press++) bar.say('tamp force', { amount: 60, unit: 'pounds' })
    expect(bar.said()).toContain('score.tamp.heavy')
  })

  it('(g) scores twenty seconds called without a mark to go by', () => {
    const bar = started(7)
    bar.cues.splice(0)
    bar.say('start pour')
    expect(bar.cues.filter((cue) => 'at' in cue && cue.at !== undefined)).toEqual([])
    bar.wait(21.2).say('stop pour')
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'time-sense', score: 1.2, passed: true }])
  })

  it('(h) brings three cups under load and counts those that expired', () => {
    const bar = started(8).say('next').wait(1).say('hand off', { into: 'milk', which: 'first' })
    bar.wait(5).say('hand off', { into: 'water', which: null }).wait(20)
    expect(bar.entries('drill scored')).toMatchObject([
      { drill: 'hand-off-under-load', score: 67, passed: false },
    ])
  })

  it('a drill of its own: doses by eye', () => {
    const bar = started(9)
    for (const amount of [18, 18.1, 17.9, 18.2, 17.8]) bar.say('dose', { amount })
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'dose-by-eye', passed: true }])
  })

  it('goes back, tells why, skips, and can be left', () => {
    const bar = started(2).say('grind by', { notches: 4 })
    bar.said()
    bar.say('back')
    expect(bar.said()).toContain('drill.slow-shot.1.say')
    bar.say('why')
    expect(bar.said()).toContain('drill.slow-shot.1.why')
    bar.say('skip')
    expect(bar.said()).toContain('drill.slow-shot.2.say')
    bar.say('stop drill')
    expect(bar.said()).toContain('drill.stopped')
    expect(bar.place).toBe('grind')
    expect(bar.entries('drill scored')).toHaveLength(0)
  })

  it('tells a person their progress and nobody else theirs', () => {
    const bar = started(7).say('start pour').wait(20).say('stop pour').say('progress')
    expect(bar.said()).toContain('drill.progress.today')
    bar.say('person', { number: 4 }).say('progress')
    expect(bar.said()).toContain('drill.progress.none')
  })

  it('tells on another day how long ago the last score was', () => {
    const bar = started(7).say('start pour').wait(20).say('stop pour').reload(86_400)
    bar.cues.splice(0)
    bar.say('progress')
    expect(bar.said()).toEqual(['drill.progress.yesterday'])
    bar.reload(3 * 86_400).cues.splice(0)
    bar.say('progress')
    expect(bar.cues).toMatchObject([{ sentence: 'drill.progress.days-ago', values: { days: 4, times: 1 } }])
  })

  it('erases a person’s scores after a yes', () => {
    const bar = started(7).say('start pour').wait(20).say('stop pour')
    bar.say('erase person', { number: 3 }).say('yes').say('progress')
    expect(bar.said()).toContain('drill.progress.none')
    expect(bar.entries('person erased')).toMatchObject([{ person: 3 }])
  })

  it('logs nothing more of an erased person, in a drill or after it', () => {
    const bar = started(5).say('erase person', { number: 3 }).say('yes')
    for (const seconds of [18, 18.5, 19, 18.2, 18.4]) bar.pull(seconds)
    bar.wait(20).say('undo').pull(20)
    const later = bar.log.slice(bar.log.findIndex(({ kind }) => kind === 'person erased') + 1)
    expect(later.some(({ kind }) => kind === 'shot')).toBe(true)
    expect(later.filter((entry) => 'person' in entry)).toEqual([])
  })

  it('chimes for what is logged and for nothing else', () => {
    const bar = started(6).say('tamp force', { amount: 40, unit: 'pounds' })
    const chimes = () => bar.cues.splice(0).filter((cue) => cue.kind === 'earcon' && cue.earcon === 'logged')
    bar.cues.splice(0)
    bar.say('tamp force', { amount: 40, unit: 'pounds' })
    expect(chimes()).toEqual([])
    const calling = started(7).say('start pour').wait(20)
    calling.cues.splice(0)
    bar.cues.push(...calling.say('stop pour').cues.filter((cue) => !('at' in cue)))
    expect(calling.entries('shot')).toEqual([])
    expect(chimes()).toEqual([])
  })

  it('runs on the practice bench, which makes the pour heard', () => {
    const bar = started(1, { practice: true }).say('grind by', { notches: -3 }).say('next')
    bar.cues.splice(0)
    bar.say('start pour')
    expect(bar.cues.some((cue) => cue.kind === 'pour sound')).toBe(true)
    bar.wait(60).say('next')
    expect(bar.entries('drill scored')).toMatchObject([{ drill: 'fast-shot' }])
  })

  it('goes on after a reload where it was', () => {
    const bar = started(5).pull(18).reload(5)
    expect(bar.situation.drill).toContain('drill')
    for (const seconds of [18.5, 19, 18.2, 18.4]) bar.pull(seconds)
    expect(bar.entries('drill scored')).toHaveLength(1)
  })

  it('says so when there is no such drill', () => {
    const bar = started(44)
    expect(bar.said()).toContain('drill.unknown')
  })
})

describe('drill files', () => {
  it('are numbered from one without gaps', async () => {
    const numbers = (await bundledDrills('en')).map(({ number }) => number)
    expect(numbers).toEqual(numbers.map((_, index) => index + 1))
  })

  it('are refused with the place that is wrong', () => {
    expect(() =>
      readDrill('new', { number: 1, name: 'x', score: 'none', steps: [{ say: 'x', wait: { for: 'luck' } }] }),
    ).toThrow(/drill new: steps\.0\.wait/)
  })
})
