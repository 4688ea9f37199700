import { describe, expect, it } from 'vitest'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'
import { mayBeSaid, places, toEvent, type Place } from '../../../src/bar/index.ts'
import type { Intent } from '../../../src/messages/command.ts'
import { intentGroups, whyNotTable, type IntentGroup } from '../../../src/bar/loop/whyNot.ts'
import { intents } from '../../../grammar/meaning.ts'
import { commandsOf } from '../../../grammar/check/commands.ts'
import { driveBar } from './driveBar.ts'

const language = readLanguage('en')
const opened = () => driveBar().say('open shift')
const adjusting = () => {
  const bar = opened().pull(14)
  bar.say('hand off', { into: 'milk', which: null }).wait(11).say('next')
  expect(bar.place).toBe('adjust')
  expect(bar.loop.step).toMatchObject({ action: 'finer', notches: 2 })
  bar.said()
  return bar
}

describe('a half understood phrase', () => {
  it('is asked about with the move that was advised, and a yes does it', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.hear('[unk] notches finer')
    expect(bar.cues).toContainEqual(
      expect.objectContaining({ sentence: 'repair.guess', values: { words: ['two notches finer'] } }),
    )
    expect(bar.said()).toEqual(['repair.guess'])
    expect(bar.loop.notch).toBe(before)
    expect(bar.open).toContain('confirm')
    bar.hear('yes')
    expect(bar.loop.notch).toBe(before + 2)
    expect(bar.situation.asking).toBe('nothing')
  })

  it('is not done after a no', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.hear('[unk] notches finer').hear('no')
    expect(bar.loop.notch).toBe(before)
    expect(bar.said()).toEqual(['repair.guess', 'repair.refused'])
  })

  it('may be said again instead of an answer', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.hear('[unk] notches finer').hear('one notch finer')
    expect(bar.loop.notch).toBe(before + 1)
    expect(bar.situation.asking).toBe('nothing')
  })

  it('is forgotten when no answer comes', () => {
    const bar = adjusting()
    bar.hear('[unk] notches finer').wait(15)
    expect(bar.situation.asking).toBe('nothing')
    expect(bar.open).not.toContain('confirm')
  })

  it('never gets two questions in a row: the second time another way is named', () => {
    const bar = adjusting()
    bar.hear('[unk] notches finer').wait(15).hear('[unk] notches finer')
    expect(bar.said()).toEqual(['repair.guess', 'repair.other-way'])
    bar.hear('one notch finer').wait(1)
    expect(bar.place).toBe('grind')
  })

  it('offers two guesses to choose from', () => {
    const bar = opened()
    const reading = (heard: 'next' | 'purged', probability: number) => ({
      command: {
        intent: heard,
        slots: null,
        heard,
        onset: bar.now,
        end: bar.now,
        confidence: probability,
        source: 'voice' as const,
      },
      open: true,
      probability,
    })
    bar.hear('next', { readings: [reading('next', 0.35), reading('purged', 0.3)] })
    expect(bar.cues.at(-1)).toMatchObject({ sentence: 'repair.which', values: { words: ['next', 'purged'] } })
  })

  it('is not answered when others talk beside it, or the tool itself was speaking', () => {
    const bar = adjusting()
    bar.hear('[unk] notches finer', { alone: false }).hear('[unk] notches finer', { overOwnSpeech: true })
    bar.hear('[unk]').hear('[unk] [unk] finer')
    expect(bar.said()).toEqual([])
  })
})

describe('a phrase that is none of the commands', () => {
  it('is asked for once more, and then another way is named', () => {
    const bar = opened()
    bar.said()
    bar.hear('notch dose').hear('notch dose')
    expect(bar.said()).toEqual(['repair.again', 'repair.other-way'])
    bar.hear('purged').said()
    bar.hear('notch dose')
    expect(bar.said()).toEqual(['repair.again'])
  })
})

describe('a command that is understood but closed', () => {
  it('is answered with the reason and the word that helps', () => {
    const bar = driveBar()
    bar.hear('one notch finer')
    expect(bar.said()).toEqual(['why-not.no-shift'])
    bar.hear('open shift').said()
    bar.hear('tastes sour')
    expect(bar.said()).toEqual(['why-not.no-shot'])
    bar.hear('go').said()
    bar.hear('recipe triple')
    expect(bar.said()).toEqual(['why-not.pouring'])
  })

  it('is answered by the question that waits', () => {
    const bar = opened()
    bar.hear('close the shift').said()
    bar.hear('one notch finer')
    expect(bar.said()).toEqual(['why-not.asked'])
  })

  it('is not answered when people say it to each other', () => {
    const bar = opened()
    bar.said()
    bar.hear('yes').hear('no')
    expect(bar.said()).toEqual([])
  })

  it('has its answer in every place, for every intent', () => {
    const grouped = Object.values(intentGroups).flat()
    expect([...grouped].sort()).toEqual([...intents].sort())
  })

  const { commands } = commandsOf(language)
  const openIn = (place: Place) => mayBeSaid({ place, listening: 'on', asking: 'nothing', waiting: 0 })
  const groups = Object.keys(intentGroups) as IntentGroup[]
  const ways: Record<Place, () => ReturnType<typeof driveBar>> = {
    closed: () => driveBar(),
    grind: opened,
    dose: () => opened().say('next'),
    tamp: () => opened().say('next').say('next'),
    ready: () => opened().say('next').say('next').say('next'),
    pouring: () => opened().say('start pour').wait(9),
    judge: () => opened().pull(12).wait(12),
    adjust: () => opened().pull(12).wait(12).say('next'),
  }

  it.each(places)('has no dead word in "%s": all that is open does something or is answered', (place) => {
    const open = openIn(place)
    const examples = new Map(
      commands
        .filter(({ grammar }) => open.includes(grammar))
        .map(({ meaning, words }) => [meaning.intent, { meaning, words }]),
    )
    const dead = [...examples.values()].filter(({ meaning }) => {
      const bar = ways[place]()
      expect(bar.place).toBe(place)
      bar.said()
      let isReportGiven = false
      bar.bar.on('report', () => (isReportGiven = true))
      const times = { onset: bar.now, end: bar.now, confidence: 1, heard: '', source: 'voice' as const }
      bar.bar.send(toEvent({ ...meaning, ...times }))
      return bar.cues.length === 0 && bar.place === place && !isReportGiven
    })
    expect(dead.map(({ words }) => words.join(' '))).toEqual([])
  })

  it.each(places)('is said to be open in "%s" exactly when it does something there', (place) => {
    const example = (group: IntentGroup) =>
      commands.find(({ meaning }) => (intentGroups[group] as readonly Intent[]).includes(meaning.intent))
    const wrong = groups.filter((group) => {
      const bar = ways[place]()
      bar.said()
      const meaning = example(group)?.meaning
      if (!meaning) throw new Error(`nothing can be said of ${group}`)
      const times = { onset: bar.now, end: bar.now, confidence: 1, heard: '', source: 'key' as const }
      bar.bar.send(toEvent({ ...meaning, ...times }))
      const isRefused = bar
        .said()
        .some((sentence) => sentence.startsWith('why-not.') || sentence === 'trouble.not-now')
      const answer = whyNotTable[place][group]
      return answer === 'open' && isRefused
    })
    expect(wrong).toEqual([])
  })

  it.each(places)('names words in "%s" that can be said there', (place) => {
    const understand = understanding(language, openIn(place))
    for (const group of groups) {
      const answer = whyNotTable[place][group]
      if (typeof answer === 'string' || answer.word === undefined) continue
      expect(understand(answer.word.split(' ')), `${place}: ${answer.sentence}`).toMatchObject({
        kind: 'command',
      })
    }
  })
})

describe('a missed start', () => {
  const ready = () => {
    const bar = opened().say('next').say('next').say('next')
    bar.said()
    return bar
  }

  it('is found when the shot is stopped, and counted after a yes', () => {
    const bar = ready()
    bar.hear('go', { confidence: 0.15 }).wait(19).said()
    bar.hear('stop')
    expect(bar.cues).toContainEqual(
      expect.objectContaining({ sentence: 'repair.missed-start', values: { seconds: 19 } }),
    )
    bar.said()
    expect(bar.entries('shot')).toEqual([])
    bar.wait(3).hear('yes')
    expect(bar.entries('shot')).toMatchObject([{ seconds: 19 }])
    expect(bar.place).toBe('judge')
    expect(bar.situation.waiting).toBe(1)
    expect(bar.said()).toContain('shot.in-window')
  })

  it('may have been a sound that was none of the words, or one over the tool’s own voice', () => {
    const bar = ready()
    bar.hear('[unk]').wait(21).said()
    bar.hear('stop')
    expect(bar.said()).toEqual(['repair.missed-start'])
    const other = ready()
    other.hear('go', { overOwnSpeech: true, alone: false, confidence: 0.3 }).wait(20).said()
    other.hear('stop')
    expect(other.said()).toEqual(['repair.missed-start'])
  })

  it('is not counted after a no: the time is asked for, and counted as it is said', () => {
    const bar = ready()
    bar.hear('[unk]').wait(21).hear('stop').said()
    bar.hear('no')
    expect(bar.said()).toEqual(['repair.no-start'])
    expect(bar.loop.beliefs).toEqual({})
    expect(bar.open).toContain('timed')
    bar.hear('time was eighteen')
    expect(bar.entries('shot')).toMatchObject([{ seconds: 18 }])
    expect(bar.place).toBe('judge')
  })

  it('is said when nothing was heard that could have been one', () => {
    const bar = ready()
    bar.wait(60).hear('stop')
    expect(bar.said()).toEqual(['repair.no-start'])
    expect(bar.entries('shot')).toEqual([])
    bar.hear('go')
    expect(bar.place).toBe('pouring')
  })

  it('may have been heard as a stop', () => {
    const bar = ready()
    bar.hear('stop').wait(20).said()
    bar.hear('stop')
    expect(bar.said()).toEqual(['repair.missed-start'])
  })

  it('is not looked for when the tool is told to be quiet, or a pour has just been stopped', () => {
    const bar = ready()
    bar.hear('stop', { overOwnSpeech: true })
    expect(bar.cues).toEqual([{ kind: 'hush' }])
    bar.hear('go').wait(20).hear('stop').wait(1).said()
    bar.hear('stop')
    expect(bar.said()).toEqual([])
  })
})

describe('a missed stop', () => {
  it('is found when something is said that belongs after the pour, which is then done', () => {
    const bar = opened().say('start pour').wait(20)
    bar.hear('stop', { confidence: 0.1 }).wait(2).said()
    bar.hear('in the oat milk')
    expect(bar.said()).toEqual(['repair.missed-stop'])
    expect(bar.entries('shot')).toEqual([])
    bar.wait(2).hear('yes')
    expect(bar.entries('shot')).toMatchObject([{ seconds: 20 }])
    expect(bar.entries('hand-off')).toMatchObject([{ outcome: 'served', into: 'oat milk' }])
  })

  it('is asked for when nothing was heard that could have been one', () => {
    const bar = opened().say('start pour').wait(25)
    bar.said()
    bar.hear('tastes sour')
    expect(bar.said()).toEqual(['repair.no-stop'])
    expect(bar.place).toBe('pouring')
    bar.hear('time was twenty')
    expect(bar.entries('shot')).toMatchObject([{ seconds: 20 }])
  })

  it('leaves the clock running after a no', () => {
    const bar = opened().say('start pour').wait(12)
    bar.hear('[unk]').wait(2).hear('tastes sour').said()
    bar.hear('no')
    expect(bar.place).toBe('pouring')
    bar.wait(5).hear('stop')
    expect(bar.entries('shot')).toMatchObject([{ seconds: 19 }])
  })
})

describe('what does not fit', () => {
  it('"purged" without the move that was advised asks whether it was made', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.hear('purged')
    expect(bar.said()).toEqual(['repair.moved.more'])
    expect(bar.entries('purged')).toEqual([])
    bar.hear('yes')
    expect(bar.loop.notch).toBe(before + 2)
    expect(bar.loop.purged).toBe(true)
    expect(bar.place).toBe('grind')
  })

  it('"purged" with no move at all asks which way it went', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.say('leave it').said()
    bar.hear('purged')
    expect(bar.said()).toEqual(['repair.which-way'])
    bar.hear('one notch coarser')
    expect(bar.loop.notch).toBe(before - 1)
    expect(bar.loop.purged).toBe(true)
  })

  it('"next" in adjust asks whether the move was made as advised', () => {
    const bar = adjusting()
    const before = bar.loop.notch
    bar.hear('next')
    expect(bar.said()).toEqual(['repair.moved.more'])
    bar.hear('no')
    expect(bar.loop.notch).toBe(before)
    expect(bar.said()).toEqual(['repair.which-way'])
    bar.hear('next').hear('yes')
    expect(bar.loop.notch).toBe(before + 2)
  })

  it('a pour may be started from adjust', () => {
    const bar = adjusting()
    bar.hear('go')
    expect(bar.place).toBe('pouring')
  })
})
