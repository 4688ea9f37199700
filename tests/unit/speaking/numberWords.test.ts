import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import table from '../../../grammar/en/numbers.json'
import {
  digitPhrases,
  everyNumberPhrase,
  numberPhrases,
  writeNumber,
} from '../../../src/speaking/numberWords.ts'

const spoken = (value: number) => numberPhrases(table, value).join(' ')

describe('numbers in words', () => {
  test.each([
    [0, 'zero'],
    [18.2, 'eighteen point two'],
    [0.5, 'zero point five'],
    [25, 'twenty five'],
    [100, 'one hundred'],
    [105, 'one hundred and five'],
    [999, 'nine hundred and ninety nine'],
    [-3, 'minus three'],
    [-0.25, 'minus zero point two five'],
    [1.05, 'one point zero five'],
    [2.5, 'two point five'],
  ])('%d', (value, words) => expect(spoken(value)).toBe(words))

  test('does not read out the noise of floating point', () => {
    expect(spoken(0.1 + 0.2)).toBe('zero point three')
    expect(spoken(-0.001)).toBe('zero')
    expect(writeNumber(17.999)).toBe('18')
  })

  test.each([1000, -999.01, NaN, Infinity])('refuses %d and names it', (value) =>
    expect(() => numberPhrases(table, value)).toThrow(new RegExp(`${value}.*-999 to 999`)),
  )

  test('refuses a table without the word it needs', () =>
    expect(() => numberPhrases({ '1': 'one' }, 2)).toThrow('no word for 2'))

  test('reads digit by digit', () => {
    expect(digitPhrases(table, 18.25)).toEqual(['one', 'eight', 'point', 'two', 'five'])
    expect(digitPhrases(table, -7)).toEqual(['minus', 'seven'])
  })

  test('asks for nothing that is not on the list of recordings', () => {
    const recorded = new Set(everyNumberPhrase(table))
    fc.assert(
      fc.property(fc.double({ min: -999, max: 999, noNaN: true }), (value) =>
        [...numberPhrases(table, value), ...digitPhrases(table, value)].every((phrase) =>
          recorded.has(phrase),
        ),
      ),
    )
  })
})
