import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { openSets } from '../../../grammar/check/openTogether.ts'
import type { Network } from '../../../grammar/jsgf/network.ts'
import { match } from '../../../grammar/jsgf/match.ts'
import { commandNetwork, parseLanguage } from '../../../grammar/language.ts'
import { coveringPhrases, phrasesFor } from '../../../grammar/phrases.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { vocabularyOf } from '../../../grammar/vocabulary.ts'
import { grammarNames, type GrammarName } from '../../../src/messages/grammarName.ts'

const english = readLanguage('en')
const name = '#JSGF V1.0;grammar name;public <name> = you;'

const pairsIn = (phrase: string) => {
  const words = ['<', ...phrase.split(' '), '>']
  return words.slice(1).map((word, index) => `${words[index]} ${word}`)
}

/** A sentence of the network, its turns chosen by the numbers given. */
function randomSentence({ start, end, arcs }: Network, turns: readonly number[]): string {
  const words: string[] = []
  let state = start
  for (let step = 0; state !== end; step++) {
    const ways = arcs[state] ?? []
    const arc = ways[(turns[step % turns.length] ?? 0) % ways.length]
    if (!arc) throw new Error('a dead end')
    if (arc.kind === 'word') words.push(arc.word)
    state = arc.to
  }
  return words.join(' ')
}

describe('the phrases for the engine', () => {
  it.each(grammarNames)('of %s are sentences of it', (grammar) => {
    const network = commandNetwork(english, [grammar])
    for (const phrase of phrasesFor(english, [grammar], 'no')) {
      expect(match(network, phrase.split(' ')), phrase).not.toEqual([])
    }
  })

  it('have every pair of neighbouring words of any sentence', () => {
    const open: GrammarName[] = [
      'stop',
      'talk',
      'grind',
      'dose',
      'ready',
      'shift',
      'settings',
      'drill',
      'handoff',
    ]
    const network = commandNetwork(english, open)
    const covered = new Set(coveringPhrases(network).flatMap(pairsIn))
    const turns = fc.array(fc.nat(100), { minLength: 20, maxLength: 20 })
    fc.assert(
      fc.property(turns, (chosen) => {
        for (const pair of pairsIn(randomSentence(network, chosen))) expect(covered).toContain(pair)
      }),
      { numRuns: 500 },
    )
  })

  it('are the same every time, and without repeats where there are no weights', () => {
    const phrases = phrasesFor(english, ['judge', 'handoff'])
    expect(phrasesFor(readLanguage('en'), ['judge', 'handoff'])).toEqual(phrases)
    expect(new Set(phrases).size).toBe(phrases.length)
  })

  it.each(openSets)('are few, as numbers are not spelt out one by one: %s', (...open) => {
    expect(phrasesFor(english, open).length).toBeLessThan(1000)
  })

  it('hold the name to call, unless it may not be said', () => {
    expect(phrasesFor(english, ['confirm'])).toContain('hey earshot')
    expect(phrasesFor(english, ['confirm'], 'no')).not.toContain('hey earshot')
  })

  it('are repeated as the weights say', () => {
    const weighted = parseLanguage('xx', {
      name,
      stop: '#JSGF V1.0;grammar stop;public <a> = /3/ stop | /1/ wait;',
    })
    expect(phrasesFor(weighted, ['stop'], 'no')).toEqual(['stop', 'stop', 'stop', 'wait'])
  })

  it('end, where a grammar repeats without end', () => {
    const endless = parseLanguage('xx', {
      name,
      stop: '#JSGF V1.0;grammar stop;public <a> = one (two | three)*;',
    })
    const covered = new Set(phrasesFor(endless, ['stop'], 'no').flatMap(pairsIn))
    expect([...covered].sort()).toEqual(
      [
        '< one',
        'one >',
        'one two',
        'one three',
        'two two',
        'two three',
        'three two',
        'three three',
        'two >',
        'three >',
      ].sort(),
    )
  })
})

describe('the vocabulary', () => {
  it('is every word of the open grammars and the name, sorted', () => {
    expect(vocabularyOf(english, ['paused'])).toEqual([
      'again',
      'earshot',
      'hey',
      'listen',
      'listening',
      'resume',
      'start',
      'up',
      'wake',
    ])
  })
})
