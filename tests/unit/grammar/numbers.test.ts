import { describe, expect, it } from 'vitest'
import { readLanguage, languageCodes, readLanguageFile } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'
import { digitPhrases, numberPhrases } from '../../../src/speaking/numberWords.ts'

describe.each(languageCodes())('numbers in %s', (code) => {
  const understand = understanding(readLanguage(code), ['dose'])
  const table = JSON.parse(readLanguageFile(code, 'numbers.json')) as Record<string, string>
  const dose = numberPhrases(table, 0).length === 0 ? '' : 'dose'

  it('from 0 to 999 are understood as they are read out', () => {
    for (let number = 0; number <= 999; number++) {
      const words = `${dose} ${numberPhrases(table, number).join(' ')}`.split(' ')
      expect(understand(words), words.join(' ')).toMatchObject({ meaning: { slots: { amount: number } } })
    }
  })

  it('with a decimal are understood as they are read out', () => {
    for (let tenths = 1; tenths < 1000; tenths += 7) {
      const words = `${dose} ${numberPhrases(table, tenths / 10).join(' ')}`.split(' ')
      expect(understand(words), words.join(' ')).toMatchObject({
        meaning: { slots: { amount: tenths / 10 } },
      })
    }
  })

  it('have a word for each digit', () => {
    expect(digitPhrases(table, 102.5)).toHaveLength(5)
  })
})
