import { describe, expect, it } from 'vitest'
import { driveBar } from './driveBar.ts'

const open = () => driveBar({ prompts: 'long' }).say('open shift')
const intoMilk = { into: 'milk', which: null } as const

/** Shots at one setting, each into milk. */
function pulled(bar: ReturnType<typeof driveBar>, ...seconds: number[]) {
  for (const each of seconds) bar.pull(each).wait(1).say('hand off', intoMilk).wait(40)
  return bar
}

describe('signs that are said while it pours', () => {
  it('times the first drip and says it back', () => {
    const bar = open().say('start pour').wait(6)
    bar.said()
    bar.say('first drip')
    expect(bar.said()).toEqual(['pour.time-now'])
    bar.wait(13).say('stop pour')
    expect(bar.entries('shot')).toMatchObject([{ firstDrip: 6, seconds: 19 }])
  })

  it('blames the puck, not the grind, when a fast shot dripped late', () => {
    const bar = open().say('start pour').wait(10).say('first drip').wait(4.5).say('stop pour')
    expect(bar.loop.step).toMatchObject({ action: 'even bed', reason: 'reason.held-then-broke' })
  })

  it('takes blond for early only before the window opens', () => {
    const early = open().say('start pour').wait(12).say('look', { look: 'blond early' }).wait(7)
    expect(early.say('stop pour').loop.step?.action).toBe('less yield')
    const timely = open().say('start pour').wait(19).say('look', { look: 'blond early' }).wait(1)
    expect(timely.say('stop pour').loop.current.looks).toEqual([])
  })
})

describe('what is measured of the cup', () => {
  it('says the ratio back, and the extraction once the strength is read', () => {
    // the worked example of the usual formula: 9 % x 40 g / 18 g = 20 %
    const bar = pulled(open(), 20).say('dose', { amount: 18 })
    bar.pull(20).say('hand off', intoMilk)
    bar.cues.length = 0
    bar.say('drink', { amount: 40, unit: 'grams' }).say('strength', { percent: 9 })
    const values = bar.cues.flatMap((cue) => (cue.kind === 'say' ? [[cue.sentence, cue.values]] : []))
    expect(values).toContainEqual(['shot.ratio', { ratio: 2.2 }])
    expect(values).toContainEqual(['shot.extraction.good', { percent: 20 }])
    expect(bar.entries('strength measured')).toMatchObject([{ percent: 9 }])
  })

  it('does not take a cup that was let run longer for a slow one', () => {
    const unweighed = pulled(open(), 20, 23.6).pull(24)
    expect(unweighed.loop.step?.action).toBe('coarser')
    const weighed = pulled(open(), 20)
    for (let shot = 0; shot < 2; shot++)
      weighed
        .pull(23.8)
        .say('drink', { amount: 48, unit: 'grams' })
        .wait(1)
        .say('hand off', intoMilk)
        .wait(30)
    expect(weighed.loop.step?.action).toBe('leave')
  })

  it('asks to check numbers that do not fit together', () => {
    const bar = open().pull(20).say('hand off', intoMilk)
    bar.said()
    bar.say('drink', { amount: 90, unit: 'grams' }).say('strength', { percent: 12 })
    expect(bar.said()).toContain('trouble.extraction')
  })
})

describe('beans and room', () => {
  it('knows the age of the coffee in use, and only of that one', () => {
    const bar = open().say('roasted', { days: 1 }).say('coffee', { number: 2 }).pull(19)
    bar.say('look', { look: 'no crema' })
    expect(bar.loop.step?.reason).toBe('reason.no-crema')
    const fresh = open().say('roasted', { days: 1 }).pull(19).say('look', { look: 'no crema' })
    expect(fresh.loop.step?.reason).toBe('reason.no-crema-flush')
    expect(fresh.entries('roasted')).toMatchObject([{ coffee: 1, days: 1 }])
  })

  it('gives the adviser the air once both readings are known', () => {
    const bar = open().say('room', { reading: 'temperature', amount: 24 })
    bar.say('room', { reading: 'humidity', amount: 60 })
    expect(bar.entries('room read')).toMatchObject([{ temperature: 24 }, { humidity: 60 }])
    bar.pull(19)
    expect(bar.loop.room).toEqual({ temperature: 24, humidity: 60 })
    expect(bar.loop.step).not.toBeNull()
  })

  it.each([
    ['temperature', 70, 'trouble.temperature'],
    ['humidity', 2, 'trouble.humidity'],
  ] as const)('refuses a %s of %s', (reading, amount, sentence) => {
    const bar = open()
    bar.said()
    expect(bar.say('room', { reading, amount }).said()).toContain(sentence)
    expect(bar.loop.room).toEqual({})
  })
})

describe('what is said', () => {
  it('says the advice once when a look changed it before the cup was in', () => {
    const bar = open().pull(19)
    bar.said()
    bar.say('taste', { taste: 'bitter' }).say('hand off', intoMilk)
    expect(bar.said().filter((sentence) => sentence === 'action.less-yield')).toHaveLength(1)
  })

  it('keeps drift out of the ten seconds of a hand-off', () => {
    const bar = open()
    let warned = false
    for (let shot = 0; shot < 60 && !warned; shot++) {
      bar.pull(17.5 + shot * 0.12)
      const atOnce = bar.said()
      expect(atOnce.filter((sentence) => sentence.startsWith('drift.'))).toEqual([])
      bar.wait(2).say('hand off', intoMilk)
      warned = bar.said().some((sentence) => sentence.startsWith('drift.'))
      bar.wait(30)
    }
    expect(warned).toBe(true)
  })
})
