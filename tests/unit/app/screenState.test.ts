import { describe, expect, it } from 'vitest'
import screen from '../../../grammar/en/screen.json' with { type: 'json' }
import sentences from '../../../grammar/en/sentences.json' with { type: 'json' }
import numbers from '../../../grammar/en/numbers.json' with { type: 'json' }
import { chartsOf, extent, rangeAcross, rangeUp } from '../../../src/app/shift/charts.ts'
import { fieldOf } from '../../../src/app/settings/settingFields.ts'
import { stepInWords } from '../../../src/app/bar/stepInWords.ts'
import { viewOf } from '../../../src/app/shell/views.ts'
import { createWords, preferredLanguage } from '../../../src/app/words/words.ts'
import { places, type SettingName, settingsSchema, type Situation } from '../../../src/bar/index.ts'
import { actionKinds } from '../../../src/coffee/index.ts'
import type { ShiftSeries } from '../../../src/logbook/index.ts'

const words = createWords('en', screen, { name: 'en', sentences, numbers })

describe('words', () => {
  it('fill in their placeholders and write numbers as the language does', () => {
    expect(words('window.span', { opens: 17, closes: 22.5 })).toBe('17 to 22.5 s')
    const german = createWords('de', screen, { name: 'de', sentences, numbers })
    expect(german('window.span', { opens: 17, closes: 22.5 })).toBe('17 to 22,5 s')
  })

  it('have a form of their own for one', () => {
    expect(words('chart.image', { title: 'Notch', points: 1, low: 10, high: 10 })).toContain('One point.')
    expect(words.sentence('report.shots', { shots: 1, hits: 0 })).toBe('1 shot, 0 in the window.')
    expect(words.sentence('report.shots', { shots: 2, hits: 1 })).toBe('2 shots, 1 in the window.')
  })

  it('are in the first language of the browser that is built in', () => {
    expect(preferredLanguage(['fr-CH', 'de-DE', 'en'], ['en', 'de'])).toBe('de')
    expect(preferredLanguage(['fr'], ['en', 'de'])).toBe('en')
  })

  it('name every action that a table can show', () => {
    for (const action of actionKinds) expect(screen).toHaveProperty([`action.${action}`])
  })
})

describe('the next step in words', () => {
  const calm: Situation = { place: 'grind', listening: 'on', asking: 'nothing', waiting: 0 }
  const current = { id: '1', looks: [], tastes: [], handOff: 'served' } as const
  const finer = {
    action: 'finer',
    notches: 1,
    sentence: 'action.finer.one',
    reason: 'reason.fast',
    values: { notches: 1, chance: 80, seconds: 14, low: 15, high: 22, shots: 5 },
    serve: true,
  } as const
  const step = (
    situation: Partial<Situation>,
    loop: Partial<Parameters<typeof stepInWords>[2]> = {},
    question: Parameters<typeof stepInWords>[4] = null,
  ) =>
    stepInWords(
      words,
      { ...calm, ...situation },
      { purged: true, step: null, current, ...loop },
      'oat milk',
      question,
    )

  it.each(places)('is there in every place: %s', (place) => {
    expect(step({ place }).step).toBeTruthy()
  })

  it('asks for the purge that is due', () => {
    expect(step({}, { purged: false }).step).toContain('Purge')
  })

  it('belongs to the cup while it waits, and only then to the advice', () => {
    expect(step({ place: 'judge', waiting: 1 }, { step: finer }).step).toContain('Oat milk')
    expect(step({ place: 'judge' }, { step: finer })).toEqual({
      step: 'Go finer by one notch.',
      reason: 'It ran fast.',
    })
  })

  it('warns of what must not be served', () => {
    expect(step({ place: 'judge' }, { step: { ...finer, serve: false } }).warning).toBeTruthy()
    expect(step({ place: 'judge' }, { current: { ...current, handOff: 'expired' } }).warning).toContain(
      'Expired',
    )
  })

  it('asks before anything else', () => {
    expect(step({ place: 'pouring', asking: 'confirming' }).step).toBe('Yes or no?')
    expect(step({ place: 'judge', asking: 'confirming' }, {}, { sentence: 'shift.ask-end' }).step).toContain(
      'Yes or no',
    )
    expect(step({ place: 'pouring', listening: 'paused' }).step).toContain('start listening')
  })
})

describe('the fields of the settings', () => {
  it('are read off the schema', () => {
    expect(fieldOf('loudness')).toEqual({ name: 'loudness', kind: 'number', low: 0, high: 100 })
    expect(fieldOf('handOffLimit')).toEqual({ name: 'handOffLimit', kind: 'number', low: 5, high: 30 })
    expect(fieldOf('speed')).toEqual({ name: 'speed', kind: 'choice', options: [0.8, 1, 1.25] })
    expect(fieldOf('practice')).toEqual({ name: 'practice', kind: 'switch' })
  })

  it('have a label, and their choices a name', () => {
    for (const name of Object.keys(settingsSchema.entries) as SettingName[]) {
      expect(screen).toHaveProperty([`setting.${name}`])
      const field = fieldOf(name)
      if (field.kind === 'choice')
        for (const option of field.options) expect(screen).toHaveProperty([`choice.${option}`])
    }
  })
})

describe('the charts', () => {
  const empty: ShiftSeries = {
    shots: { at: [], seconds: [], opens: [], closes: [], inWindow: [] },
    notch: { at: [], notch: [] },
    drift: { at: [], percent: [], low: [], high: [] },
    control: { at: [], seconds: [], centre: [], lower: [], upper: [] },
    margins: { at: [], margin: [] },
  }

  it('are left out without points', () => {
    expect(chartsOf(empty)).toEqual([])
  })

  it('tell shots in the window from those outside by column, with limits where there are some', () => {
    const [chart] = chartsOf({
      ...empty,
      shots: { at: [1, 2], seconds: [20, 30], opens: [17, 17], closes: [22, 22], inWindow: [true, false] },
      control: { at: [2], seconds: [30], centre: [25], lower: [null], upper: [31] },
    })
    expect(chart?.data).toEqual([
      [1, 2],
      [17, 17],
      [22, 22],
      [null, null],
      [null, 25],
      [null, 31],
      [20, null],
      [null, 30],
    ])
    expect(chart?.lines).toHaveLength(7)
    expect(chart && extent(chart)).toEqual({ low: 17, high: 31 })
  })

  it('have axes that can be read from the first shot on', () => {
    const first = { ...empty, notch: { at: [1000], notch: [10] }, margins: { at: [1000], margin: [4] } }
    const [notch, margins] = chartsOf(first)
    if (!notch || !margins) throw new Error('no charts')
    const [from, to] = rangeAcross(notch)
    // twenty minutes with the shot in their middle
    expect(to - from).toBeCloseTo(1200)
    expect((from + to) / 2).toBeCloseTo(1000)
    expect(rangeUp(notch)).toEqual([9, 11])
    expect(rangeUp(margins)).toEqual([-1, 5])
  })
})

describe('views', () => {
  it('have addresses, and any other address is the bar', () => {
    expect(viewOf('#shift')).toBe('shift')
    expect(viewOf('#nowhere')).toBe('bar')
    expect(viewOf('')).toBe('bar')
  })
})
