import { describe, expect, it } from 'vitest'
import { parseLanguage } from '../../../grammar/language.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding, type Strictness } from '../../../grammar/understand.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'

const english = readLanguage('en')

function heard(text: string, open: readonly GrammarName[], strictness?: Strictness) {
  return understanding(english, open, strictness)(text === '' ? [] : text.split(' '))
}

describe('a command', () => {
  it.each<[string, GrammarName, object]>([
    ['dose eighteen point two', 'dose', { intent: 'dose', slots: { amount: 18.2 } }],
    ['dose nine hundred', 'dose', { intent: 'dose', slots: { amount: 900 } }],
    ['dose a hundred and five', 'dose', { intent: 'dose', slots: { amount: 105 } }],
    ['one notch finer', 'adjust', { intent: 'grind by', slots: { notches: 1 } }],
    ['two notches coarser', 'adjust', { intent: 'grind by', slots: { notches: -2 } }],
    ['half a notch finer', 'grind', { intent: 'grind by', slots: { notches: 0.5 } }],
    ['a notch coarser', 'grind', { intent: 'grind by', slots: { notches: -1 } }],
    ['notch twelve', 'adjust', { intent: 'grind at', slots: { notch: 12 } }],
    ['notch twelve and a half', 'adjust', { intent: 'grind at', slots: { notch: 12.5 } }],
    ['leave it', 'adjust', { intent: 'leave it', slots: null }],
    ['time was nineteen point five', 'timed', { intent: 'time was', slots: { seconds: 19.5 } }],
    [
      'drink two and a half ounces',
      'judge',
      { intent: 'drink', slots: { amount: 2.5, unit: 'fluid ounces' } },
    ],
    ['yield thirty six grams', 'judge', { intent: 'drink', slots: { amount: 36, unit: 'grams' } }],
    ['slow dark drips', 'judge', { intent: 'look', slots: { look: 'dark drips' } }],
    ['it tastes burnt', 'judge', { intent: 'taste', slots: { taste: 'burnt' } }],
    ['pressed forty pounds', 'tamp', { intent: 'tamp force', slots: { amount: 40, unit: 'pounds' } }],
    ['two cups', 'ready', { intent: 'cups', slots: { count: 2 } }],
    ['milk', 'handoff', { intent: 'hand off', slots: { into: 'milk', which: null } }],
    ['into the oat milk', 'handoff', { intent: 'hand off', slots: { into: 'oat milk', which: null } }],
    ['second cup in water', 'handoff', { intent: 'hand off', slots: { into: 'water', which: 'second' } }],
    ['neat', 'handoff', { intent: 'hand off', slots: { into: 'neat', which: null } }],
    ['second cup to the guest', 'handoff', { intent: 'hand off', slots: { into: 'neat', which: 'second' } }],
    ['over ice', 'handoff', { intent: 'hand off', slots: { into: 'ice', which: null } }],
    [
      'last one into chocolate milk',
      'handoff',
      { intent: 'hand off', slots: { into: 'chocolate milk', which: 'last' } },
    ],
    ['it choked', 'judge', { intent: 'look', slots: { look: 'choked' } }],
    ['one cup heavier', 'judge', { intent: 'look', slots: { look: 'one side' } }],
    ['it sputtered', 'judge', { intent: 'look', slots: { look: 'spraying' } }],
    ['in the sauce', 'handoff', { intent: 'hand off refused', slots: { into: 'sauce' } }],
    ['throw out the last one', 'handoff', { intent: 'discard', slots: { which: 'last' } }],
    ['say that slower', 'talk', { intent: 'repeat', slots: { slower: true } }],
    [
      'hand off limit twelve seconds',
      'settings',
      { intent: 'set', slots: { setting: 'hand-off limit', value: 12 } },
    ],
    ['triple recipe', 'shift', { intent: 'recipe', slots: { recipe: 'triple' } }],
    ['forget person three', 'shift', { intent: 'erase person', slots: { number: 3 } }],
  ])('"%s"', (text, grammar, meaning) => {
    expect(heard(text, [grammar])).toEqual({ kind: 'command', meaning, from: 0, to: text.split(' ').length })
  })

  it('is known by its own words, without unknown sounds at the edges and without the name', () => {
    expect(heard('[unk] hey earshot stop the pour [unk]', ['stop'])).toMatchObject({
      kind: 'command',
      from: 3,
      to: 6,
    })
    expect(heard('earshot stop', ['stop'])).toMatchObject({ kind: 'command', from: 1, to: 2 })
  })
})

describe('a rejection', () => {
  it.each([
    ['', 'nothing said'],
    ['[unk] [unk]', 'nothing said'],
    ['tastes [unk] sour', 'unknown word'],
    ['tastes sweet', 'unknown word'],
    ['dose eighteen', 'unknown word'],
    ['tastes', 'not a command'],
    ['sour tastes', 'not a command'],
    ['next next', 'not a command'],
    ['time was twenty thirty', 'not a command'],
    ['earshot', 'not a command'],
  ])('"%s": %s', (text, reason) => {
    expect(heard(text, ['judge', 'timed'])).toEqual({ kind: 'rejected', reason })
  })

  it('of unknown sounds at the edges, when they are not overlooked', () => {
    expect(heard('[unk] next', ['judge'], { overlookEdges: false })).toMatchObject({ reason: 'unknown word' })
    expect(heard('', ['judge'], { overlookEdges: false })).toMatchObject({ reason: 'nothing said' })
  })

  it('of a command without the name, when the name is a must', () => {
    expect(heard('next', ['judge'], { name: 'must' })).toEqual({ kind: 'rejected', reason: 'name missing' })
    expect(heard('hey earshot next', ['judge'], { name: 'must' })).toMatchObject({ kind: 'command', from: 2 })
    expect(heard('hey earshot next', ['judge'], { name: 'no' })).toMatchObject({ reason: 'unknown word' })
  })

  it('of words that mean two things', () => {
    const language = parseLanguage('xx', {
      name: '#JSGF V1.0;grammar name;public <name> = you;',
      talk: '#JSGF V1.0;grammar talk;public <a> = wait {why} | wait {help} | (<b> | <b>) {why}; <b> = go;',
    })
    const understand = understanding(language, ['talk'])
    expect(understand(['wait'])).toEqual({ kind: 'rejected', reason: 'ambiguous' })
    expect(understand(['go'])).toMatchObject({ kind: 'command' })
  })

  it('does not happen for want of a grammar: that is an error', () => {
    const language = parseLanguage('xx', { name: '#JSGF V1.0;grammar name;public <name> = you;' })
    expect(() => understanding(language, ['talk'])).toThrow('the language xx has no grammar "talk"')
  })
})
