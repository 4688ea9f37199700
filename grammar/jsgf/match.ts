import type { Arc, Network } from './network.ts'

/** A tag of a matched sentence and the tags within the words it was attached to. */
export interface Tagged {
  tag: string
  inside: readonly Tagged[]
}

/** A path through a network as it grows, the last arc first. */
type Path = { arc: Arc; before: Path } | null

/** The tags of every way in which `words`, all of them, are a sentence of the network; none: they are not. */
export function match(network: Network, words: readonly string[]): (readonly Tagged[])[] {
  return matchLoosely(network, words, null).map(({ tags }) => tags)
}

/**
 * The sentences of a network that `words` may be, when some of them were not understood.
 *
 * @param blank the sign for a word that was not understood: any one word may be in its place
 */
export function matchLoosely(network: Network, words: readonly string[], blank: string | null): Sentence[] {
  const found: Sentence[] = []

  const walk = (state: number, index: number, path: Path, silently: readonly number[]): void => {
    if (state === network.end && index === words.length)
      found.push({ words: wordsOf(path), tags: tagsOf(path) })
    for (const arc of network.arcs[state] ?? []) {
      if (arc.kind === 'word') {
        const word = words[index]
        if (word !== undefined && (arc.word === word || word === blank))
          walk(arc.to, index + 1, { arc, before: path }, [])
      } else if (!silently.includes(arc.to)) {
        walk(arc.to, index, { arc, before: path }, [...silently, arc.to])
      }
    }
  }
  walk(network.start, 0, null, [])
  return found
}

/** A sentence that a network allows. */
export interface Sentence {
  words: readonly string[]
  tags: readonly Tagged[]
}

/** Every sentence of a network; what may be repeated is said at most once. */
export function* sentencesOf(network: Network): Generator<Sentence> {
  const used = new Set<Arc>()

  function* walk(state: number, words: readonly string[], path: Path): Generator<Sentence> {
    if (state === network.end) yield { words, tags: tagsOf(path) }
    for (const arc of network.arcs[state] ?? []) {
      if (used.has(arc)) continue
      used.add(arc)
      yield* walk(arc.to, arc.kind === 'word' ? [...words, arc.word] : words, { arc, before: path })
      used.delete(arc)
    }
  }
  yield* walk(network.start, [], null)
}

/** The words of a path in the order in which they were said. */
function wordsOf(path: Path): string[] {
  const words: string[] = []
  for (let step = path; step; step = step.before) if (step.arc.kind === 'word') words.push(step.arc.word)
  return words.reverse()
}

/** Nests the tags of a path in the order in which they were said. */
function tagsOf(path: Path): Tagged[] {
  const arcs: Arc[] = []
  for (let step = path; step; step = step.before) arcs.push(step.arc)
  arcs.reverse()

  const top: Tagged[] = []
  const open: Tagged[][] = [top]
  for (const arc of arcs) {
    if (arc.kind === 'tag begins') {
      const inside: Tagged[] = []
      open.at(-1)?.push({ tag: arc.tag, inside })
      open.push(inside)
    } else if (arc.kind === 'tag ends') open.pop()
  }
  return top
}
