import { nullRule, voidRule, type Expansion } from './syntax.ts'
import type { Rules } from './link.ts'

/** A way from one state of a network to another: by a word, through a tag's beginning or end, or in silence. */
export type Arc = { to: number } & (
  | { kind: 'word'; word: string }
  | { kind: 'silent'; /** of the alternative behind it */ weight: number }
  | { kind: 'tag begins'; tag: string }
  | { kind: 'tag ends' }
)

/** All that some rules let a person say: each path from start to end is a sentence. */
export interface Network {
  start: number
  end: number
  /** by state */
  arcs: readonly (readonly Arc[])[]
}

/** A word, with its tags, that stands for everything a rule lets a person say. */
export interface StandIn {
  word: string
  tag: string
}

/**
 * The network of "one of these expansions". Right recursion becomes a loop.
 * @param standIns by fully qualified rulename: do not look into these rules
 */
export function networkOf(
  tops: readonly Expansion[],
  rules: Rules,
  standIns: ReadonlyMap<string, StandIn> = new Map(),
): Network {
  const arcs: Arc[][] = []
  const newState = () => arcs.push([]) - 1
  const connect = (from: number, arc: Arc) => arcs[from]?.push(arc)
  const skip = (from: number, to: number, weight = 1) => connect(from, { kind: 'silent', to, weight })

  /** @param open where the rules now being built began: a rule that comes back to itself goes there again */
  const build = (expansion: Expansion, from: number, to: number, open: ReadonlyMap<string, number>): void => {
    switch (expansion.kind) {
      case 'word':
        connect(from, { kind: 'word', word: expansion.text, to })
        return
      case 'rule': {
        const { name } = expansion
        if (name === voidRule) return
        if (name === nullRule) return void skip(from, to)
        const standIn = standIns.get(name)
        if (standIn)
          return tagged(from, to, standIn.tag, (a, b) =>
            connect(a, { kind: 'word', word: standIn.word, to: b }),
          )
        const begun = open.get(name)
        if (begun !== undefined) return void skip(from, begun)
        const rule = rules.get(name)
        if (!rule) throw new Error(`<${name}> was not linked`)
        const begin = newState()
        skip(from, begin)
        build(rule.expansion, begin, to, new Map(open).set(name, begin))
        return
      }
      case 'sequence': {
        let at = from
        expansion.parts.forEach((part, index) => {
          const next = index === expansion.parts.length - 1 ? to : newState()
          build(part, at, next, open)
          at = next
        })
        return
      }
      case 'alternatives':
        for (const { expansion: choice, weight } of expansion.choices) {
          if (weight === 0) continue
          const begin = newState()
          skip(from, begin, weight)
          build(choice, begin, to, open)
        }
        return
      case 'optional':
        build(expansion.inner, from, to, open)
        skip(from, to)
        return
      case 'repeated': {
        const [begin, end] = [newState(), newState()]
        skip(from, begin)
        build(expansion.inner, begin, end, open)
        skip(end, begin)
        skip(end, to)
        if (expansion.atLeast === 0) skip(from, to)
        return
      }
      case 'tagged':
        tagged(from, to, expansion.tag, (a, b) => build(expansion.inner, a, b, open))
        return
    }
  }

  const tagged = (from: number, to: number, tag: string, inner: (from: number, to: number) => void): void => {
    const [begin, end] = [newState(), newState()]
    connect(from, { kind: 'tag begins', tag, to: begin })
    inner(begin, end)
    connect(end, { kind: 'tag ends', to })
  }

  const [start, end] = [newState(), newState()]
  for (const top of tops) build(top, start, end, new Map())
  return { start, end, arcs }
}
