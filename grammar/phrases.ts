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
  /** the same for the same word */
  code: number
  next: readonly Step[]
}

/** From one place to the next. */
interface Step {
  place: Place
  /** the greatest of the alternatives gone through */
  weight: number
}

/** More than any language's grammars have; for numbering pairs of them. */
const mostWords = 1 << 16

/** No sentence that already covers a pair is made longer than this to cover more. */
const longest = 10

/** Sentences of a network in which each pair of neighbouring words that it allows occurs. */
export function coveringPhrases(network: Network): string[] {
  const { beginning, end } = placesOf(network)
  const covered = new Set<number>()
  const pair = (from: Place, to: Place) => from.code * mostWords + to.code
  const isNew = (from: Place, { place }: Step) => !covered.has(pair(from, place))
  const isLast = (_: Place, { place }: Step) => place === end
  /** places from which no pair is new: none ever will be again */
  const exhausted = new Set<Place>()
  const wayToNew = (from: Place) => shortestWay(from, isNew, exhausted)

  const phrases: string[] = []
  for (let way = wayToNew(beginning); way; way = wayToNew(beginning)) {
    const sentence: Step[] = []
    let at = beginning
    while (way && (sentence.length === 0 || sentence.length + way.length <= longest)) {
      for (const step of way) {
        covered.add(pair(at, step.place))
        sentence.push(step)
        at = step.place
      }
      way = at === end ? undefined : wayToNew(at)
    }
    for (const step of at === end ? [] : (shortestWay(at, isLast) ?? [])) {
      covered.add(pair(at, step.place))
      sentence.push(step)
      at = step.place
    }
    const text = sentence.map(({ place }) => place.word).join(' ')
    const repeats = Math.max(1, ...sentence.map(({ weight }) => Math.round(weight)))
    for (let time = 0; time < repeats; time++) phrases.push(text.trimEnd())
  }
  return phrases
}

/**
 * The fewest steps from a place up to and with the first step that is wanted.
 * @param fruitless places not to look behind; those that prove so are added
 */
function shortestWay(
  from: Place,
  wanted: (from: Place, step: Step) => boolean,
  fruitless = new Set<Place>(),
): Step[] | undefined {
  interface Way {
    at: Place
    step: Step | undefined
    before: Way | undefined
  }
  const stepsOf = (way: Way | undefined): Step[] => (way?.step ? [...stepsOf(way.before), way.step] : [])

  const ways: Way[] = [{ at: from, step: undefined, before: undefined }]
  const seen = new Set([from])
  for (const way of ways) {
    for (const step of way.at.next) {
      if (wanted(way.at, step)) return [...stepsOf(way), step]
      if (seen.has(step.place) || fruitless.has(step.place)) continue
      seen.add(step.place)
      ways.push({ at: step.place, step, before: way })
    }
  }
  for (const place of seen) fruitless.add(place)
  return undefined
}

/** Leaves the silent ways out of a network: which word stands after which. */
function placesOf({ start, end, arcs }: Network): { beginning: Place; end: Place } {
  const codes = new Map([['', 0]])
  const codeOf = (word: string) => {
    const code = codes.get(word) ?? codes.size
    codes.set(word, code)
    return code
  }
  const last: Place = { word: '', code: 0, next: [] }
  /** one for each state, since the words that may come next are the same wherever it was reached from */
  const nextOf = arcs.map((): Step[] => [])
  const placesAt = arcs.map((ways) =>
    ways.flatMap((arc) =>
      arc.kind === 'word' ? [{ word: arc.word, code: codeOf(arc.word), next: nextOf[arc.to] ?? [] }] : [],
    ),
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
  return { beginning: { word: '', code: 0, next: nextOf[start] ?? [] }, end: last }
}
