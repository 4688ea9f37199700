import type { Network } from '../../../grammar/jsgf/network.ts'

/** A deterministic automaton over words: what may be said, each sentence once. */
export interface WordAutomaton {
  /** by state; state 0 is the start */
  states: readonly AutomatonState[]
}

export interface AutomatonState {
  /** whether a sentence may end here */
  isFinal: boolean
  arcs: readonly {
    word: string
    /** natural logarithm of the weight of the way chosen */ weight: number
    to: number
  }[]
}

/**
 * The automaton of a network: the silent ways taken out, made deterministic by subset construction (Rabin and Scott, 1959)
 * and minimal by splitting classes of states until none splits (Moore, 1956). Where several silent ways lead to one word the
 * greatest weight counts.
 */
export function automatonOf(network: Network): WordAutomaton {
  return minimal(deterministic(network))
}

interface Subset extends AutomatonState {
  arcs: { word: string; weight: number; to: number }[]
}

function deterministic({ start, end, arcs }: Network): Subset[] {
  const places = new Map<string, number>()
  const waiting: number[][] = []
  const states: Subset[] = []
  const stateOf = (members: readonly number[]): number => {
    const sorted = [...new Set(members)].sort((a, b) => a - b)
    const key = sorted.join()
    const known = places.get(key)
    if (known !== undefined) return known
    places.set(key, waiting.push(sorted) - 1)
    return waiting.length - 1
  }
  stateOf([start])
  for (let at = 0; at < waiting.length; at++) {
    const reached = silentlyReached(arcs, waiting[at] ?? [])
    const byWord = new Map<string, { weight: number; to: number[] }>()
    for (const [state, weight] of reached) {
      for (const arc of arcs[state] ?? []) {
        if (arc.kind !== 'word') continue
        const known = byWord.get(arc.word)
        if (known === undefined) byWord.set(arc.word, { weight, to: [arc.to] })
        else byWord.set(arc.word, { weight: Math.max(weight, known.weight), to: [...known.to, arc.to] })
      }
    }
    states.push({
      isFinal: reached.has(end),
      arcs: [...byWord].map(([word, { weight, to }]) => ({ word, weight, to: stateOf(to) })),
    })
  }
  return states
}

/** The states that can be reached without a word, with the logarithm of the greatest weight on the way. */
function silentlyReached(arcs: Network['arcs'], from: readonly number[]): Map<number, number> {
  const reached = new Map(from.map((state) => [state, 0]))
  for (const [state, weight] of reached) {
    for (const arc of arcs[state] ?? []) {
      if (arc.kind === 'word') continue
      const there = weight + (arc.kind === 'silent' ? Math.log(arc.weight) : 0)
      if ((reached.get(arc.to) ?? -Infinity) >= there) continue
      // deleted first, so that it is looked at again with its better weight
      reached.delete(arc.to)
      reached.set(arc.to, there)
    }
  }
  return reached
}

function minimal(states: readonly AutomatonState[]): WordAutomaton {
  let classes: number[] = states.map(({ isFinal }) => (isFinal ? 1 : 0))
  let count = 0
  for (;;) {
    const known = new Map<string, number>()
    const next = states.map(({ arcs }, state) => {
      const ways = arcs.map(({ word, weight, to }) => `${word} ${weight} ${classes[to]}`).sort()
      const key = `${classes[state]}|${ways.join()}`
      const found = known.get(key) ?? known.size
      known.set(key, found)
      return found
    })
    classes = next
    if (known.size === count) break
    count = known.size
  }
  const merged: AutomatonState[] = []
  states.forEach(({ isFinal, arcs }, state) => {
    merged[classes[state] ?? 0] ??= {
      isFinal,
      arcs: arcs.map(({ word, weight, to }) => ({ word, weight, to: classes[to] ?? 0 })),
    }
  })
  // the start is looked at first, so its class is 0
  return { states: merged }
}
