import { expect, it } from 'vitest'
import { parseLanguage } from '../../../../grammar/language.ts'
import { networkOf } from '../../../../grammar/jsgf/network.ts'
import { automatonOf, type WordAutomaton } from '../../../../src/hearing/decoder/wordAutomaton.ts'

function automaton(rule: string): WordAutomaton {
  const { rules } = parseLanguage('en', { stop: `#JSGF V1.0;\ngrammar stop;\npublic <a> = ${rule};\n` })
  const at = { file: '', line: 1, column: 1 }
  return automatonOf(networkOf([{ kind: 'rule', name: 'stop.a', at }], rules))
}

function allows({ states }: WordAutomaton, sentence: string): boolean {
  let state = states[0]
  for (const word of sentence.split(' ')) {
    const to = state?.arcs.find((arc) => arc.word === word)?.to
    if (to === undefined) return false
    state = states[to]
  }
  return state?.isFinal ?? false
}

it('allows what the rule allows and nothing else', () => {
  const numbers = automaton('(one | two [three] | one hundred) [and a half] | one two')
  for (const said of ['one', 'two', 'two three', 'one hundred and a half', 'one two', 'one and a half'])
    expect(allows(numbers, said), said).toBe(true)
  for (const said of ['three', 'one three', 'and a half', 'one two and a half', 'two three and a'])
    expect(allows(numbers, said), said).toBe(false)
})

it('has each state once and from each one way for a word', () => {
  const digits = automaton('(one | two | three) (one | two | three) (one | two | three)')
  expect(digits.states.length).toBe(4)
  expect(digits.states[0]?.arcs.length).toBe(3)
})

it('keeps loops and weights', () => {
  const looped = automaton('(/0.5/ go | /1/ stop)+')
  expect(allows(looped, 'go stop stop go')).toBe(true)
  const weights = looped.states[0]?.arcs.map(({ word, weight }) => [word, weight])
  expect(weights).toContainEqual(['go', Math.log(0.5)])
})
