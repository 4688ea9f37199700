import { describe, expect, it } from 'vitest'
import type { Tagged } from '../../../grammar/jsgf/match.ts'
import { meaningOf } from '../../../grammar/meaning.ts'
import { readTags } from '../../../grammar/tags.ts'

const tag = (text: string, ...inside: Tagged[]): Tagged => ({ tag: text, inside })
const number = (...parts: string[]) => parts.map((part) => tag(part))

describe('tags', () => {
  it('give the intent and its slots, in any order and place', () => {
    expect(readTags([tag('hand off', tag('into=oat milk')), tag('which=first')])).toEqual({
      intent: 'hand off',
      slots: { into: 'oat milk', which: 'first' },
    })
  })

  it('give several at once, and true, false and numbers as such', () => {
    expect(readTags([tag('set, setting=practice, value=true, other=-2.5')])).toEqual({
      intent: 'set',
      slots: { setting: 'practice', value: true, other: -2.5 },
    })
  })

  it.each([
    [['+20', '+2'], 22],
    [['+100', '+5'], 105],
    [['+9', '*100', '+90', '+9', '.', '+9'], 999.9],
    [['+0', '.', '+0', '+5'], 0.05],
    [['+2', '+0.5'], 2.5],
    [['+18', '.', '+2'], 18.2],
  ])('add up the number %j', (parts, value) => {
    expect(readTags([tag('dose'), tag('amount=#', ...number(...parts))]).slots).toEqual({ amount: value })
  })

  it('give the negative of a number', () => {
    expect(readTags([tag('grind by'), tag('notches=-#', ...number('+1'))]).slots).toEqual({ notches: -1 })
  })

  it.each([
    [[], 'no intent'],
    [[tag('dose'), tag('tamp')], 'several intents: dose, tamp'],
    [[tag('dose'), tag('amount=#')], '"#" without a number'],
    [[tag('dose'), tag('amount=1'), tag('amount=2')], '"amount" is said twice'],
    [[tag('dose, amount=')], 'a slot without a value'],
    [[tag('a=b=c')], 'cannot be read'],
  ])('%j are refused', (tags, problem) => {
    expect(() => readTags(tags)).toThrow(problem)
  })
})

describe('the meaning of tags', () => {
  it('has null for an intent without slots, and the defaults of what was not said', () => {
    expect(meaningOf({ intent: 'next', slots: {} })).toEqual({ intent: 'next', slots: null })
    expect(meaningOf({ intent: 'discard', slots: {} })).toEqual({ intent: 'discard', slots: { which: null } })
    expect(meaningOf({ intent: 'repeat', slots: {} })).toEqual({ intent: 'repeat', slots: { slower: false } })
  })

  it.each([
    ['brew', {}, 'there is no intent "brew"'],
    ['next', { now: true }, 'next: "now"'],
    ['dose', {}, 'dose: "amount"'],
    ['dose', { amount: 'much' }, 'dose: "amount"'],
    ['hand off', { into: 'sauce' }, 'hand off: "into"'],
    ['set', { setting: 'loudness', value: true }, 'set: '],
    ['toString', {}, 'there is no intent "toString"'],
  ])('%s %j is refused', (intent, slots, problem) => {
    expect(() => meaningOf({ intent, slots })).toThrow(problem)
  })
})
