import { describe, expect, it } from 'vitest'
import { parseLexicon } from '../../../grammar/lexicon.ts'
import { readLanguageFile } from '../../../grammar/readLanguage.ts'

describe('a lexicon', () => {
  it('gives each word its pronunciations, and leaves comments out', () => {
    const lexicon = parseLexicon(';; comment\nwater W AO T ER\nwater(2) W AA T ER ;; America\n\n', 'x.dict')
    expect([...lexicon]).toEqual([
      [
        'water',
        [
          ['W', 'AO', 'T', 'ER'],
          ['W', 'AA', 'T', 'ER'],
        ],
      ],
    ])
  })

  it.each([
    ['water W AO T ER\nmilk M IH L Q', 'x.dict:2: "Q" is not a phone'],
    ['water', 'x.dict:1: "water" has no phones'],
    ['milk M IH L K\nmilk(2) M IH L K', 'x.dict:2: "milk" is given twice'],
  ])('%j is refused', (text, problem) => {
    expect(() => parseLexicon(text, 'x.dict')).toThrow(problem)
  })

  // entries of the CMU Pronouncing Dictionary 0.7b, without stress marks (from memory)
  it.each([
    ['coffee', 'K AA F IY'],
    ['double', 'D AH B AH L'],
    ['triple', 'T R IH P AH L'],
    ['milk', 'M IH L K'],
    ['water', 'W AO T ER'],
    ['syrup', 'S ER AH P'],
    ['seventeen', 'S EH V AH N T IY N'],
    ['hundred', 'HH AH N D R AH D'],
    ['finer', 'F AY N ER'],
    ['ounces', 'AW N S AH Z'],
  ])('in English has %s as published', (word, phones) => {
    const english = parseLexicon(readLanguageFile('en', 'lexicon.dict'), 'lexicon.dict')
    expect(english.get(word)?.map((pronunciation) => pronunciation.join(' '))).toContain(phones)
  })
})
