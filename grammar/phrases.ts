import type { GrammarName } from '../src/messages/grammarName.ts'
import type { Network } from './jsgf/network.ts'
import { commandNetwork, nameNetwork, type Language, type NameToCall } from './language.ts'

/**
 * The phrases to give to the engine while these grammars are open. The engine learns from them which word may
 * follow which, and nothing more, so the list is not all that can be said but a small set of sentences in
 * which every such pair, every first word and every last word occurs. The same grammars always give the same list.
 *
 * A sentence that goes through an alternative with a weight above 1 is repeated that many times (rounded), which
 * is how the engine's own grammar is weighted. The sign for unknown sounds is not in the list; the caller adds it.
 */
export function phrasesFor(
  language: Language,
  open: readonly GrammarName[],
  name: NameToCall = 'may',
): string[] {
  const phrases = coveringPhrases(commandNetwork(language, open))
  return name === 'no' ? phrases : [...phrases, ...coveringPhrases(nameNetwork(language))]
}

/** A word where it stands in a network, or an edge of the sentence. */
interface Place {
  word: string
  next: readonly Step[]
}

/** From one place to the next. */
interface Step {
  place: Place
  /** the greatest of the alternatives gone through */
  weight: number
}

/** A sentence grows to cover further pairs until it has so many words. */
const longest = 10

/** Sentences of a network in which each pair of neighbouring words that it allows occurs. */
export function coveringPhrases(network: Network): string[] {
  const { beginning, end } = placesOf(network)
  const ways = shortestWays(beginning)
  const homeward = stepsHome(ways.keys(), end)
  const covered = new Set<string>()
  const isNew = (from: Place, { place }: Step) => !covered.has(`${from.word} ${place.word}`)

  const phrases: string[] = []
  for (const [place, way] of ways) {
    for (const first of place.next) {
      if (!isNew(place, first)) continue
      const sentence = [...way, first]
      for (let at = first.place; at !== end; at = sentence.at(-1)?.place ?? end) {
        const step =
          (sentence.length < longest ? at.next.find((next) => isNew(at, next)) : undefined) ??
          homeward.get(at)
        if (!step) throw new Error(`no sentence ends after "${at.word}"`)
        sentence.push(step)
      }
      sentence.forEach((step, index) =>
        covered.add(`${sentence[index - 1]?.place.word ?? ''} ${step.place.word}`),
      )
      const text = sentence
        .slice(0, -1)
        .map(({ place: { word } }) => word)
        .join(' ')
      const repeats = Math.max(1, ...sentence.map(({ weight }) => Math.round(weight)))
      phrases.push(...new Array<string>(repeats).fill(text))
    }
  }
  return phrases
}

/** The fewest steps to every place that can be reached, nearest first. */
function shortestWays(beginning: Place): Map<Place, readonly Step[]> {
  const ways = new Map<Place, readonly Step[]>([[beginning, []]])
  for (const [place, way] of ways) {
    for (const step of place.next) if (!ways.has(step.place)) ways.set(step.place, [...way, step])
  }
  return ways
}

/** For each place, the step that begins the shortest way from it to the end of the sentence. */
function stepsHome(places: Iterable<Place>, end: Place): Map<Place, Step> {
  const home = new Map<Place, Step>()
  let away = [...places].filter((place) => place !== end)
  for (let reached = new Set([end]); reached.size > 0;) {
    const found = new Set<Place>()
    for (const place of away) {
      const step = place.next.find((next) => reached.has(next.place))
      if (!step) continue
      home.set(place, step)
      found.add(place)
    }
    away = away.filter((place) => !found.has(place))
    reached = found
  }
  return home
}

/** Leaves the silent ways out of a network: which word stands after which. */
function placesOf({ start, end, arcs }: Network): { beginning: Place; end: Place } {
  const last: Place = { word: '', next: [] }
  /** one for each state, since the words that may come next are the same wherever it was reached from */
  const nextOf = arcs.map((): Step[] => [])
  const placesAt = arcs.map((ways) =>
    ways.flatMap((arc) => (arc.kind === 'word' ? [{ word: arc.word, next: nextOf[arc.to] ?? [] }] : [])),
  )

  nextOf.forEach((steps, from) => {
    const weights = new Map([[from, 1]])
    for (const [state, weight] of weights) {
      for (const place of placesAt[state] ?? []) steps.push({ place, weight })
      if (state === end) steps.push({ place: last, weight })
      for (const arc of arcs[state] ?? []) {
        if (arc.kind === 'word' || weights.has(arc.to)) continue
        weights.set(arc.to, arc.kind === 'silent' ? Math.max(weight, arc.weight) : weight)
      }
    }
  })
  return { beginning: { word: '', next: nextOf[start] ?? [] }, end: last }
}
