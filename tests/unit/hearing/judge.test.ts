import { expect, it } from 'vitest'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'
import { judge, usualStrictness } from '../../../src/hearing/judge.ts'
import type { VoiceBeside } from '../../../src/hearing/protocol.ts'

const open = understanding(readLanguage('en'), ['stop', 'ready', 'grind'])
const heard = (text: string, confidence: number, length = 0.3, beside: VoiceBeside[] = []) =>
  judge(
    text.split(' ').map((word, at) => ({ word, onset: at, end: at + length, confidence })),
    beside,
    open,
    usualStrictness,
  )

it('obeys what it is sure of', () => {
  expect(heard('one notch finer', 0.95)).toMatchObject({ kind: 'command', onset: 0, end: 2.3 })
})

it('does not obey what it is unsure of', () => {
  expect(heard('start', 0.2)).toMatchObject({ kind: 'rejected', reason: 'unsure' })
  expect(heard('start', 0.5)).toMatchObject({ kind: 'command' })
  expect(heard('hush', 0.5)).toMatchObject({ kind: 'rejected', reason: 'unsure' })
  expect(heard('hush', 0.8)).toMatchObject({ kind: 'command' })
})

it('takes a word too quick to be said for noise', () => {
  expect(heard('start', 1, 0.06)).toMatchObject({ kind: 'rejected', reason: 'too quick' })
})

it('lets a short word be short among others', () => {
  const times = [0, 0.25, 0.4, 0.43, 0.8, 1.2]
  const words = 'two and a half notches'.split(' ').map((word, i) => ({
    word,
    onset: times[i] ?? 0,
    end: times[i + 1] ?? 0,
    confidence: 1,
  }))
  const finer = { word: 'finer', onset: 1.2, end: 1.6, confidence: 1 }
  const adjusting = understanding(readLanguage('en'), ['adjust'])
  expect(judge([...words, finer], [], adjusting, usualStrictness)).toMatchObject({ kind: 'command' })
})

it('leaves alone what falls in the midst of talk as loud, but for the word that ends a pour', () => {
  const talk = (level: number, seconds: number): VoiceBeside[] =>
    Array.from({ length: Math.round(100 * seconds) }, (_, i) => ({ at: 1 + i / 100, level }))
  expect(heard('start', 1, 0.3, talk(0, 1))).toMatchObject({ kind: 'rejected', reason: 'among talk' })
  expect(heard('start', 1, 0.3, talk(-12, 1))).toMatchObject({ kind: 'command' })
  expect(heard('start', 1, 0.3, talk(0, 0.1))).toMatchObject({ kind: 'command' })
  expect(heard('stop', 1, 0.3, talk(0, 1))).toMatchObject({ kind: 'command' })
  expect(heard('stop', 0.5, 0.3, talk(0, 1))).toMatchObject({ kind: 'rejected', reason: 'among talk' })
})
