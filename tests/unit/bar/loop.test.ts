import { describe, expect, it } from 'vitest'
import { driftOf, recipeOf } from '../../../src/bar/index.ts'
import { driveBar } from './driveBar.ts'

const opened = (settings = {}) => driveBar(settings).say('open shift')

describe('the loop', () => {
  it('goes round: grind, dose, tamp, pull, judge, adjust, grind', () => {
    const bar = opened()
    const places = [bar.place]
    bar.say('next')
    places.push(bar.place)
    bar.say('dose', { amount: 18.2 })
    places.push(bar.place)
    bar.say('next')
    places.push(bar.place)
    bar.say('start pour')
    places.push(bar.place)
    bar.wait(9).say('stop pour')
    places.push(bar.place)
    bar.say('hand off', { into: 'milk', which: null }).say('next')
    places.push(bar.place)
    bar.say('next')
    places.push(bar.place)
    expect(places).toEqual(['grind', 'dose', 'tamp', 'ready', 'pouring', 'judge', 'adjust', 'grind'])
  })

  it('times a pour by the onsets of the words that begin and end it', () => {
    const bar = opened().pull(19.4)
    expect(bar.entries('shot')[0]?.seconds).toBeCloseTo(19.4, 9)
  })

  it('lets a regular say only start, stop and the liquid', () => {
    const bar = opened().pull(20).wait(3).say('hand off', { into: 'milk', which: null })
    expect(bar.entries('shot')).toHaveLength(1)
    expect(bar.entries('hand-off')[0]).toMatchObject({ outcome: 'served', into: 'milk', margin: 7 })
    bar.pull(20)
    expect(bar.entries('shot')).toHaveLength(2)
  })

  it('advises finer after a too-fast double, several notches at opening, and never touches fill or tamp', () => {
    // common practice: a 6 s double is far too fast
    const bar = opened().pull(6)
    expect(bar.said()).toEqual(expect.arrayContaining(['shot.far too fast', 'action.finer.more']))
    bar.say('next').say('next')
    const [moved] = bar.entries('grind moved')
    expect(moved!.notches).toBeGreaterThan(1)
    expect(moved).toMatchObject({ notch: 10 + moved!.notches, advised: moved!.notches })
  })

  it('asks for a purge after a move and marks a shot pulled without one', () => {
    const bar = opened().pull(9).say('grind by', { notches: 1 })
    expect(bar.said()).toContain('grind.purge')
    bar.pull(12)
    expect(bar.entries('shot')[1]).toMatchObject({ purged: false, notch: 11 })
    bar.say('grind by', { notches: 1 }).say('purged').pull(14)
    expect(bar.entries('shot')[2]).toMatchObject({ purged: true, notch: 12 })
  })

  it('marks ten seconds, the opening and the closing of the window, then every five, on the bar clock', () => {
    const bar = opened()
    bar.cues.splice(0)
    bar.say('start pour')
    const start = bar.now
    const marks = bar.cues.flatMap((cue) =>
      cue.kind === 'say' && cue.at !== undefined ? [[cue.sentence, cue.at - start]] : [],
    )
    expect(marks.slice(0, 5)).toEqual([
      ['pour.ten', 10],
      ['pour.opens', 17],
      ['pour.closes', 22],
      ['pour.over', 27],
      ['pour.over', 32],
    ])
  })

  it('takes back the marks when the pour stops', () => {
    const bar = opened().say('start pour').wait(8)
    bar.cues.splice(0)
    bar.say('stop pour')
    expect(bar.cues).toContainEqual({ kind: 'cancel', tag: expect.stringMatching(/^pour /) })
  })

  it('hears a stop within two seconds as a false start and logs no shot', () => {
    const bar = opened().pull(1)
    expect(bar.place).toBe('ready')
    expect(bar.entries('shot')).toHaveLength(0)
    expect(bar.said()).toContain('pour.false-start')
  })

  it('keeps the dose when a start is taken back', () => {
    const bar = opened()
      .say('next')
      .say('dose', { amount: 18 })
      .say('next')
      .say('start pour')
      .wait(3)
      .say('undo')
    expect(bar.place).toBe('ready')
    bar.pull(20)
    expect(bar.entries('shot')[0]).toMatchObject({ dose: 18 })
  })

  it('asks about a pour that was forgotten, and loses it aloud in the end', () => {
    const bar = opened().say('start pour').wait(70)
    expect(bar.said()).toContain('pour.forgotten')
    bar.wait(120)
    expect(bar.place).toBe('ready')
    expect(bar.entries('lost')).toHaveLength(1)
    expect(bar.said()).toContain('pour.lost')
  })

  it('refuses nonsense and stays where it was', () => {
    const bar = opened().say('next').say('dose', { amount: 900 })
    expect(bar.place).toBe('dose')
    expect(bar.said()).toContain('trouble.dose')
    bar.say('next').say('next').pull(9).say('grind by', { notches: 90 })
    expect(bar.place).toBe('judge')
    expect(bar.said()).toContain('trouble.notches')
    bar.say('time was', { seconds: 4000 })
    expect(bar.said()).toContain('trouble.seconds')
    expect(bar.entries('shot')).toHaveLength(1)
    expect(bar.entries('corrected')).toHaveLength(0)
  })

  it('says that a shot without crema must not be served and ends its clock', () => {
    const bar = opened().pull(20).say('look', { look: 'no crema' })
    expect(bar.said()).toContain('shot.no-crema')
    expect(bar.entries('judged').at(-1)).toMatchObject({ serve: false })
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'discarded' }])
    bar.say('hand off', { into: 'milk', which: null })
    expect(bar.said()).toContain('handoff.none')
  })

  it('corrects a time with a new entry that names the shot', () => {
    const bar = opened().pull(9).say('time was', { seconds: 19 })
    const shot = bar.entries('shot')[0]
    expect(bar.entries('corrected')[0]).toMatchObject({ entry: shot?.id, seconds: 19 })
    expect(bar.loop.tally.lastSeconds).toBe(19)
    expect(bar.loop.step?.action).toBe('leave')
  })

  it('counts a corrected time as if it had been timed so: the drift, and the shots until the window was hit', () => {
    const timed = opened().pull(9).say('next').say('leave it').pull(19)
    const corrected = opened().pull(9).say('next').say('leave it').pull(12).say('time was', { seconds: 19 })
    const counted = driftOf(timed.loop).values
    expect(driftOf(corrected.loop).values).toHaveLength(counted.length)
    counted.forEach((value, index) => expect(driftOf(corrected.loop).values[index]).toBeCloseTo(value, 9))
    expect(corrected.loop.tally.shotsToHit).toBe(2)
    expect(corrected.said()).toContain('shot.first-hit')
    const missed = opened().pull(19).say('time was', { seconds: 12 })
    expect(missed.loop.tally.shotsToHit).toBeNull()
    expect(missed.say('undo').loop.tally.shotsToHit).toBe(1)
  })

  it('knows the triple by its own window', () => {
    const bar = opened().say('recipe', { recipe: 'triple' }).pull(27)
    expect(bar.entries('shot')[0]).toMatchObject({ recipe: 'triple', windowOpens: 25, windowCloses: 30 })
    expect(bar.said()).toContain('shot.in-window')
  })

  it('says that there is no house recipe until there is one', () => {
    const bar = opened().say('recipe', { recipe: 'house' })
    expect(bar.said()).toContain('shift.no-house')
    expect(bar.loop.recipe).toBe('double')
  })

  it('logs all of a house recipe the first time, then what is changed', () => {
    const bar = opened().say('house recipe', { field: 'dose', amount: 19 })
    bar.say('house recipe', { field: 'opens', amount: 20 })
    expect(bar.entries('recipe set')).toMatchObject([
      { dose: 19, yield: { by: 'volume' }, window: { opens: 17, closes: 22 }, basket: 58 },
      { window: { opens: 20, closes: 22 } },
    ])
    expect(bar.entries('recipe set')[1]).not.toHaveProperty('dose')
  })

  it('works with the house recipe of another device between two shots, and says so', () => {
    const bar = opened().say('house recipe', { field: 'dose', amount: 19 })
    bar.said()
    const house = { ...recipeOf(bar.loop), name: 'house', dose: 21 }
    const offer = () => bar.bar.send({ type: 'house card', house, at: bar.now })
    bar.say('start pour').wait(3)
    offer()
    expect(bar.loop.recipes.house?.dose).toBe(19)
    bar.say('stop pour').say('next').say('next')
    bar.said()
    offer()
    expect(bar.loop.recipes.house?.dose).toBe(21)
    expect(bar.said()).toEqual(['house.changed', 'shift.house'])
    expect(bar.entries('recipe set')).toHaveLength(1)
  })

  it('takes a house recipe by voice, a number at a time, and refuses what cannot be', () => {
    const bar = opened().say('house recipe', { field: 'opens', amount: 19 })
    bar.say('house recipe', { field: 'closes', amount: 25 }).say('recipe', { recipe: 'house' }).pull(24)
    expect(bar.entries('recipe set')).toHaveLength(2)
    expect(bar.entries('shot')[0]).toMatchObject({ recipe: 'house', windowOpens: 19, windowCloses: 25 })
    const again = opened().say('house recipe', { field: 'dose', amount: 900 })
    expect(again.said()).toContain('trouble.house')
    expect(again.entries('recipe set')).toHaveLength(0)
  })

  it('opens the words for settings only on request, until "next"', () => {
    const bar = opened()
    expect(bar.open).not.toContain('settings')
    bar.say('settings')
    expect(bar.open).toContain('settings')
    bar.say('set', { setting: 'prompts', value: 'long' }).say('next')
    expect(bar.open).not.toContain('settings')
    expect(bar.place).toBe('grind')
    expect(bar.entries('setting changed')).toMatchObject([{ setting: 'prompts', to: 'long' }])
  })

  it('pulls practice shots on the bench until they end by themselves', () => {
    const bar = opened({ practice: true }).say('start pour').wait(170)
    expect(bar.entries('shot')[0]).toMatchObject({ practice: true })
    expect(bar.cues.some((cue) => cue.kind === 'pour sound')).toBe(true)
  })
})

describe('undo', () => {
  it('goes back to where the last thing was said, and logs that it was taken back', () => {
    const bar = opened().say('next').say('dose', { amount: 18 }).say('undo')
    expect(bar.place).toBe('dose')
    expect(bar.loop.dose).toBeNull()
    bar.say('undo')
    expect(bar.place).toBe('grind')
  })

  it('takes back a shot with its clock', () => {
    const bar = opened().pull(20).say('undo')
    expect(bar.place).toBe('ready')
    expect(bar.entries('taken back')).toMatchObject([{ entry: bar.entries('shot')[0]?.id }])
    expect(bar.situation.waiting).toBe(0)
    expect(bar.loop.tally.shots).toBe(0)
    bar.wait(20)
    expect(bar.entries('hand-off')).toHaveLength(0)
  })

  it('takes back a move of the grind', () => {
    const bar = opened().pull(9).say('grind by', { notches: 1 }).say('undo')
    expect(bar.place).toBe('judge')
    expect(bar.loop.notch).toBe(10)
  })

  it('lets a cup that was not served wait on, with the time it has left', () => {
    const bar = opened().pull(20).wait(2).say('hand off', { into: 'milk', which: null }).wait(1).say('undo')
    expect(bar.situation.waiting).toBe(1)
    bar.wait(2).say('hand off', { into: 'water', which: null })
    expect(bar.entries('hand-off').at(-1)).toMatchObject({ into: 'water', margin: 5 })
    expect(bar.entries('taken back')).toHaveLength(1)
  })

  it('says so when there is nothing to take back', () => {
    const bar = opened().say('undo')
    expect(bar.said()).toContain('talk.nothing-to-undo')
  })
})

describe('an erased barista', () => {
  it('is not logged any more, and an undo does not bring the number back', () => {
    const bar = opened().say('person', { number: 3 }).say('person', { number: 4 })
    bar.say('erase person', { number: 3 }).say('yes').say('undo').pull(20)
    expect(bar.loop.person).toBeNull()
    expect(bar.entries('shot')[0]).not.toHaveProperty('person')
  })
})

describe('the shift', () => {
  it('ends only after a yes', () => {
    const bar = opened().say('end shift')
    expect(bar.open).toContain('confirm')
    bar.say('no')
    expect(bar.place).toBe('grind')
    bar.say('end shift').say('yes')
    expect(bar.place).toBe('closed')
    expect(bar.entries('shift closed')).toHaveLength(1)
  })

  it('asks the log for its report, by voice and when the shift ends', () => {
    const bar = opened()
    let asked = 0
    bar.bar.on('report', () => asked++)
    bar.pull(9).say('report')
    expect(asked).toBe(1)
    bar.say('end shift').say('yes')
    expect(asked).toBe(2)
  })

  it('keeps what was learnt of the grinder for the next shift', () => {
    const bar = opened().pull(9).say('end shift').say('yes').wait(60).say('open shift')
    expect(bar.loop.beliefs['1/1']?.learnt).toBe(1)
    expect(bar.loop.tally.shots).toBe(0)
  })
})

describe('a reload', () => {
  it('goes on with a pour at its true elapsed time', () => {
    const bar = opened().say('start pour').wait(8).reload(3)
    expect(bar.place).toBe('pouring')
    expect(bar.said()).toContain('pour.restored')
    bar.wait(8).say('stop pour')
    expect(bar.entries('shot')[0]?.seconds).toBeCloseTo(19, 6)
  })

  it('declares a pour lost that nobody can vouch for', () => {
    const bar = opened().say('start pour').wait(8).reload(300)
    expect(bar.place).toBe('ready')
    expect(bar.said()).toContain('pour.lost')
    expect(bar.entries('lost')).toMatchObject([{ what: 'pour' }])
  })

  it('goes on with a hand-off clock, or says that it expired', () => {
    const bar = opened().pull(20).wait(2).reload(3)
    expect(bar.situation.waiting).toBe(1)
    bar.wait(1).say('hand off', { into: 'milk', which: null })
    expect(bar.entries('hand-off')[0]).toMatchObject({ outcome: 'served', margin: 4 })
    bar.pull(20).reload(60)
    expect(bar.situation.waiting).toBe(0)
    expect(bar.entries('hand-off')[1]).toMatchObject({ outcome: 'expired' })
    expect(bar.said()).toContain('handoff.expired')
  })
})
