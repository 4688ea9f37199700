import { expect, it } from 'vitest'
import { fitting } from '../../../grammar/fit.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'
import { hypothesisOf, readingsOf } from '../../../src/hearing/readings.ts'
import { grammarNames, type GrammarName } from '../../../src/messages/grammarName.ts'
import type { Expectation } from '../../../src/messages/utterance.ts'

const language = readLanguage('en')
const heardIn = (open: readonly GrammarName[]) => ({
  open: understanding(language, open),
  all: understanding(language, grammarNames),
  fit: fitting(language, open),
})
const adjusting = heardIn(['stop', 'talk', 'adjust', 'judge'])
const words = (text: string, confidence = 0.95) =>
  text.split(' ').map((word, at) => ({ word, onset: at, end: at + 0.3, confidence }))
const read = (text: string, grammars = adjusting, expected: Expectation[] = [], confidence = 0.95) =>
  readingsOf([hypothesisOf(words(text, confidence))], grammars, expected, (time) => time)

it('gives a whole open command the chance that its least sure word has', () => {
  const [best, ...others] = read('one notch finer', adjusting, [], 0.9)
  expect(best).toMatchObject({
    open: true,
    command: { intent: 'grind by', slots: { notches: 1 }, heard: 'one notch finer', onset: 0, end: 2.3 },
  })
  expect(best?.probability).toBeCloseTo(0.9)
  expect(others).toEqual([])
})

it('knows a command that is closed, at a price', () => {
  const [best] = read('open the shift')
  expect(best).toMatchObject({ open: false, command: { intent: 'open shift' } })
  expect(best?.probability).toBeGreaterThan(0.7)
  expect(best?.probability).toBeLessThan(0.95)
})

it('takes a half understood command for the one that was just advised', () => {
  const advised: Expectation = { intent: 'grind by', slots: { notches: 1 }, times: 100 }
  const [best, second] = read('[unk] notch finer', adjusting, [advised])
  expect(best).toMatchObject({ open: true, command: { slots: { notches: 1 } } })
  expect(best?.probability).toBeGreaterThan(0.2)
  expect(best?.probability).toBeLessThan(0.4)
  expect(second?.probability).toBeLessThan(0.02)
  expect(best?.command.heard).toMatch(/^(one|a) notch finer$/)
})

it('is sure of nothing when any number fits', () => {
  const [best] = read('[unk] notches finer')
  expect(best?.probability).toBeLessThan(0.05)
})

it('fits one missing word and no more', () => {
  expect(read('[unk] crema')[0]).toMatchObject({ command: { intent: 'look', heard: 'no crema' } })
  expect(read('[unk] notch [unk]')).toEqual([])
  expect(read('[unk]')).toEqual([])
})

it('doubts the word that it is least sure of', () => {
  const heard = words('nine notch finer')
  const unsure = heard.map((word, index) => (index === 0 ? { ...word, confidence: 0.15 } : word))
  const advised: Expectation = { intent: 'grind by', slots: { notches: 1 }, times: 100 }
  const readings = readingsOf([hypothesisOf(unsure)], adjusting, [advised], (time) => time)
  expect(readings[0]).toMatchObject({ command: { slots: { notches: 1 } } })
  expect(readings.map(({ command }) => command.slots)).toContainEqual({ notches: 9 })
})

it('weighs the hypotheses of one utterance against each other and against talk', () => {
  const readings = readingsOf(
    [
      { words: words('stop'), score: 3 },
      { words: words('start'), score: 2.5 },
    ],
    heardIn(['stop', 'ready']),
    [{ intent: 'start pour', times: 8 }],
    (time) => time,
  )
  expect(readings.map(({ command }) => command.intent)).toEqual(['start pour', 'stop pour'])
  const share = (8 * Math.exp(2.5)) / (8 * Math.exp(2.5) + Math.exp(3))
  expect(readings[0]?.probability).toBeCloseTo((share * Math.exp(3)) / (1 + Math.exp(3)))
})

it('never obeys a command of which a word is missing', () => {
  const [best] = read(
    '[unk] crema',
    adjusting,
    [{ intent: 'look', slots: { look: 'no crema' }, times: 100 }],
    1,
  )
  expect(best?.probability).toBeLessThan(0.4)
  expect(best?.probability).toBeGreaterThan(0.3)
})

it('does not take talk for a command because it is expected', () => {
  const expected: Expectation[] = [{ intent: 'next', times: 100 }]
  expect(read('next', adjusting, expected, 0.2)[0]?.probability).toBeCloseTo(0.2)
})
