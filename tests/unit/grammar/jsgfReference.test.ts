import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { link } from '../../../grammar/jsgf/link.ts'
import { networkOf, type Network } from '../../../grammar/jsgf/network.ts'
import { parseGrammar } from '../../../grammar/jsgf/parse.ts'

// The same grammars as compiled by CMU Sphinx (libsphinxbase 0.8 as in Debian 12), by reference/compileReference.py.

const read = (name: string) => readFileSync(new URL(`reference/${name}`, import.meta.url), 'utf8')

/** Arcs by state; a silent arc has no word. */
type Graph = { start: number; end: number; arcs: Map<number, { word: string; to: number }[]> }

function ours(file: string, rule: string): Graph {
  const parsed = parseGrammar(read(file), file)
  const top = { kind: 'rule', name: rule, at: { file, line: 1, column: 1 } } as const
  const { start, end, arcs }: Network = networkOf([top], link([parsed]))
  return {
    start,
    end,
    arcs: new Map(
      arcs.map((ways, state) => [
        state,
        ways.map((arc) => ({ word: arc.kind === 'word' ? arc.word : '', to: arc.to })),
      ]),
    ),
  }
}

function reference(file: string): Graph {
  const graph: Graph = { start: 0, end: 0, arcs: new Map() }
  for (const line of read(file).split('\n')) {
    const [keyword, ...values] = line.split(' ')
    if (keyword === 'START_STATE') graph.start = Number(values[0])
    if (keyword === 'FINAL_STATE') graph.end = Number(values[0])
    if (keyword !== 'TRANSITION') continue
    const [from, to, , word = ''] = values
    graph.arcs.set(Number(from), [...(graph.arcs.get(Number(from)) ?? []), { word, to: Number(to) }])
  }
  return graph
}

/** Every sentence of at most so many words. */
function sentences({ start, end, arcs }: Graph, words: number): string[] {
  const found = new Set<string>()
  const seen = new Set<string>()
  const walk = (state: number, said: readonly string[]): void => {
    const key = `${state} ${said.join(' ')}`
    if (seen.has(key)) return
    seen.add(key)
    if (state === end) found.add(said.join(' '))
    for (const { word, to } of arcs.get(state) ?? []) {
      if (word === '') walk(to, said)
      else if (said.length < words) walk(to, [...said, word])
    }
  }
  walk(start, [])
  return [...found].sort()
}

describe('the language of a grammar is what CMU Sphinx makes of it', () => {
  it.each([
    ['command', 'com.acme.commands.basicCmd', 5],
    ['operators', 'operators.all', 7],
    ['numbers', 'numbers.number', 8],
  ])('%s', (name, rule, words) => {
    const expected = sentences(reference(`${name}.fsg`), words)
    expect(expected.length).toBeGreaterThan(100)
    expect(sentences(ours(`${name}.jsgf`, rule), words)).toEqual(expected)
  })
})
