import { expect, it } from 'vitest'
import { createOwnSpeech } from '../../../src/hearing/ownSpeech.ts'

it('knows when the tool spoke, its echo included', () => {
  const own = createOwnSpeech(0.1)
  own.begin(10)
  expect(own.overlaps(9, 9.9)).toBe('no')
  expect(own.overlaps(9.5, 10.2)).toBe('plain')
  own.end(12)
  expect(own.overlaps(12.05, 12.5)).toBe('plain')
  expect(own.overlaps(12.2, 12.5)).toBe('no')
})

it('tells speech that teaches commands from other speech', () => {
  const own = createOwnSpeech(0.1)
  own.begin(10)
  own.end(11)
  own.begin(20)
  own.teach()
  own.end(25)
  expect(own.overlaps(10.5, 10.8)).toBe('plain')
  expect(own.overlaps(21, 21.5)).toBe('teaching')
})
