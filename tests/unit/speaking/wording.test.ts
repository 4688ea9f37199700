import { describe, expect, test } from 'vitest'
import numbers from '../../../grammar/en/numbers.json'
import { readLanguage } from '../../../src/speaking/render/readLanguage.ts'
import {
  everyPhrase,
  splitSentence,
  wordSentence,
  WordingError,
  type Language,
  type WordingOptions,
} from '../../../src/speaking/wording.ts'

const language: Language = {
  name: 'en',
  numbers,
  sentences: {
    'word.milk': 'milk',
    'word.oat': 'oat milk',
    'shot.time': { long: 'It took {seconds} seconds.', short: '{seconds}.' },
    served: 'Into {liquid}, with {left} to spare.',
    start: '{liquid}. The window is {opens} to {closes} seconds?',
    lacks: 'It lacks {words}, and more.',
    silent: { long: 'Go on.', short: '' },
  },
}
const plain: WordingOptions = { detail: 'long', digits: false, spelled: false }
const say = (sentence: string, values = {}, options: Partial<WordingOptions> = {}) =>
  wordSentence(language, sentence, values, { ...plain, ...options })
const phrases = (parts: ReturnType<typeof say>['parts']) =>
  parts.map((part) => ('phrase' in part ? part.phrase : part.pause))

describe('splitting at placeholders', () => {
  test('keeps every character outside them', () => {
    expect(splitSentence('{a} grams, {b}.')).toEqual([
      { kind: 'value', name: 'a' },
      { kind: 'text', text: ' grams, ' },
      { kind: 'value', name: 'b' },
      { kind: 'text', text: '.' },
    ])
    expect(splitSentence('Tamp.')).toEqual([{ kind: 'text', text: 'Tamp.' }])
    expect(splitSentence('')).toEqual([])
  })
})

describe('wording a sentence', () => {
  test('puts numbers in, as signs to read and as phrases to hear', () => {
    const { text, parts } = say('shot.time', { seconds: 18.2 })
    expect(text).toBe('It took 18.2 seconds.')
    expect(phrases(parts)).toEqual(['It took', 'eighteen', 'point two', 'seconds'])
  })

  test('puts words in, with the pause that the stop beside them asks for', () => {
    const { text, parts } = say('start', { liquid: 'word.oat', opens: 17, closes: 22 })
    expect(text).toBe('Oat milk. The window is 17 to 22 seconds?')
    expect(phrases(parts)).toEqual([
      'oat milk',
      0.35,
      'The window is',
      'seventeen',
      'to',
      'twenty two',
      'seconds',
    ])
    expect(phrases(say('served', { liquid: 'word.milk', left: 2 }).parts)).toEqual([
      'Into',
      'milk',
      0.15,
      'with',
      'two',
      'to spare',
    ])
  })

  test('has a long and a short text, and says nothing for an empty one', () => {
    expect(phrases(say('shot.time', { seconds: 30 }, { detail: 'short' }).parts)).toEqual(['thirty'])
    expect(say('silent', {}, { detail: 'short' })).toEqual({ text: '', parts: [] })
  })

  test('reads digit by digit, and spells words', () => {
    expect(phrases(say('shot.time', { seconds: 18 }, { digits: true }).parts)).toEqual([
      'It took',
      'one',
      0.15,
      'eight',
      'seconds',
    ])
    expect(phrases(say('served', { liquid: 'word.milk', left: 2 }, { spelled: true }).parts)).toEqual([
      'Into',
      'M',
      0.15,
      'I',
      0.15,
      'L',
      0.15,
      'K',
      0.15,
      'with',
      'two',
      'to spare',
    ])
  })

  test('reads out a list of words of the grammars, each for itself', () => {
    const { text, parts } = say('lacks', { words: ['milk', 'go'] })
    expect(text).toBe('It lacks milk, go, and more.')
    expect(phrases(parts)).toEqual(['It lacks', 'milk', 0.35, 'go', 0.15, 'and more'])
    expect(phrases(say('lacks', { words: ['go', 'up'] }, { spelled: true }).parts)).toEqual([
      'It lacks',
      ...['G', 0.15, 'O', 0.35, 'U', 0.15, 'P'],
      0.15,
      'and more',
    ])
  })

  test.each([
    ['nothing', {}, 'no such sentence'],
    ['shot.time', {}, 'no value for {seconds}'],
    ['shot.time', { seconds: 4000 }, '4000'],
    ['served', { liquid: 'shot.time', left: 1 }, 'has values of its own'],
    ['served', { liquid: 'word.gravel', left: 1 }, 'no such sentence'],
  ])('says what is wrong with %s %o', (sentence, values, problem) => {
    expect(() => say(sentence, values)).toThrow(WordingError)
    expect(() => say(sentence, values)).toThrow(problem)
  })
})

test('every sentence of English, with any value, asks only for phrases that are recorded', async () => {
  const english = readLanguage('en')
  const recorded = new Set(everyPhrase(english))
  const words = Object.keys(english.sentences).filter((key) => key.startsWith('word.'))
  expect(words.length).toBeGreaterThan(0)
  const missing: unknown[] = []
  for (const [sentence, text] of Object.entries(english.sentences))
    for (const detail of ['long', 'short'] as const)
      for (const spelled of [false, true])
        for (const value of [-12.75, 105, ...words, english.vocabulary]) {
          const names = splitSentence(typeof text === 'string' ? text : text[detail]).flatMap((piece) =>
            piece.kind === 'value' ? [[piece.name, value]] : [],
          )
          const { parts } = wordSentence(english, sentence, Object.fromEntries(names), {
            detail,
            spelled,
            digits: false,
          })
          missing.push(...parts.filter((part) => 'phrase' in part && !recorded.has(part.phrase)))
        }
  expect(missing).toEqual([])
})
