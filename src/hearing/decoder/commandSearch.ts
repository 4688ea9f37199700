import type { CommandGraph } from './commandGraph.ts'
import { Tokens } from './tokens.ts'
import { WordSequences } from './wordSequences.ts'

/** A way in which the sound so far may be a whole sentence. */
export interface Reading {
  /** index among the sayables that the graph was made of */
  sayable: number
  /** times in frames of scores: the first of the word, and one past its last */
  words: { word: string; onset: number; end: number }[]
  /** sum of the network's scores and of the logarithms of weights */
  score: number
  /** whether there was talk before the first word */
  isAfterTalk: boolean
  /** frames of silence since the last word */
  silenceAfter: number
  /** whether more words could follow */
  mayGoOn: boolean
}

/** What the sound so far may be: token passing (Young, Russell and Thornton, 1989) over all that may be said at once. */
export interface CommandSearch {
  /** the best score of any path, whole sentence or not */
  readonly best: number
  /** the words of the best path so far, whether a whole sentence or not; of the one under way its last phone must have come */
  soFar(): string[]
  /** Every sayable's best readings of the sound so far as a whole sentence, best first. */
  readings(): Reading[]
  /**
   * Takes a frame of scores.
   *
   * @param talkEnded the best score of talk up to this frame, from which a sentence may begin
   * @param floor paths that score less are given up
   */
  step(scores: Float32Array, at: number, talkEnded: number, floor: number): void
  reset(): void
}

/** What the first word of a path has before it: nothing, or talk. */
const afterTalkLink = -2

/** A word said, as a path remembers it. */
interface Said {
  word: number
  onset: number
  end: number
  before: number
}

/**
 * @param width how many paths with different words are kept in each place
 * @param afterTalk the price of beginning a sentence after talk, a natural logarithm
 */
export function createCommandSearch(graph: CommandGraph, width: number, afterTalk: number): CommandSearch {
  const {
    phoneOf,
    wordOf,
    nodeBehind,
    entriesFrom,
    sayableOf,
    isFinal,
    leadsOn,
    entries,
    entryWeights,
    starts,
    words,
  } = graph
  const states = phoneOf.length
  const nodes = sayableOf.length
  // places: the chain states, then a pause behind each node
  let now = new Tokens(states + nodes, width)
  let next = new Tokens(states + nodes, width)
  const atNode = new Tokens(nodes, width)
  const sequences = new WordSequences(words.length)
  let said: Said[] = []
  let frame = 0
  let best = 0
  let leadingSilence = -Infinity

  const reset = (): void => {
    now.clear()
    said = []
    sequences.clear()
    frame = 0
    best = 0
    leadingSilence = -Infinity
  }

  /** Paths at the ends of words arrive at the nodes behind them. */
  const arrive = (floor: number): void => {
    atNode.clear()
    for (let i = 0; i < now.activeCount; i++) {
      const state = now.active[i] as number
      if (state >= states) continue
      const node = nodeBehind[state] as number
      if (node < 0) continue
      const from = state * width
      const word = wordOf[state] as number
      for (let k = from; k < from + (now.count[state] as number); k++) {
        if ((now.score[k] as number) < floor) break
        const link =
          said.push({ word, onset: now.onset[k] as number, end: frame, before: now.link[k] as number }) - 1
        const sequence = sequences.extended(now.sequence[k] as number, word)
        atNode.offer(node, now.score[k] as number, link, frame, sequence)
      }
    }
  }

  const originOf = (link: number): number => {
    let at = link
    while (at >= 0) at = (said[at] as Said).before
    return at
  }

  const wordsOf = (link: number): Reading['words'] => {
    const found: Reading['words'] = []
    for (let at = link; at >= 0; at = said[at]?.before ?? -1) {
      const { word, onset, end } = said[at] as Said
      found.push({ word: words[word] ?? '', onset, end })
    }
    return found.reverse()
  }

  return {
    get best() {
      return best
    },
    step(scores, at, talkEnded, floor) {
      const enter = (phone: number): number => scores[at + 2 * phone] as number
      const stay = (phone: number): number => scores[at + 2 * phone + 1] as number
      next.clear()
      arrive(floor)
      // a pause begins only after a word, but goes on to the same words
      for (let i = 0; i < atNode.activeCount; i++) {
        const node = atNode.active[i] as number
        const from = node * width
        for (let k = from; k < from + (atNode.count[node] as number); k++)
          next.offer(
            states + node,
            (atNode.score[k] as number) + enter(0),
            atNode.link[k] as number,
            atNode.onset[k] as number,
            atNode.sequence[k] as number,
          )
      }
      for (let i = 0; i < now.activeCount; i++) {
        const place = now.active[i] as number
        const from = place * width
        const to = from + (now.count[place] as number)
        if (place >= states) {
          for (let k = from; k < to; k++) {
            const score = now.score[k] as number
            if (score < floor) break
            const [link, onset, sequence] = [
              now.link[k] as number,
              now.onset[k] as number,
              now.sequence[k] as number,
            ]
            next.offer(place, score + stay(0), link, onset, sequence)
            atNode.offer(place - states, score, link, onset, sequence)
          }
          continue
        }
        const stayed = stay(phoneOf[place] as number)
        const isWhole = (nodeBehind[place] as number) >= 0
        const entered = isWhole ? 0 : enter(phoneOf[place + 1] as number)
        for (let k = from; k < to; k++) {
          const score = now.score[k] as number
          if (score < floor) break
          const [link, onset, sequence] = [
            now.link[k] as number,
            now.onset[k] as number,
            now.sequence[k] as number,
          ]
          next.offer(place, score + stayed, link, onset, sequence)
          if (!isWhole) next.offer(place + 1, score + entered, link, onset, sequence)
        }
      }

      // sentences begin: at once, after silence, or after talk
      const beginning = frame === 0 ? 0 : Math.max(leadingSilence, talkEnded - afterTalk)
      if (beginning >= floor) {
        const link = frame > 0 && talkEnded - afterTalk > leadingSilence ? afterTalkLink : -1
        for (const node of starts) atNode.offer(node, beginning, link, frame, 0)
      }
      // and after what is said before any sentence
      const arrived = atNode.activeCount
      for (let i = 0; i < arrived; i++) {
        const node = atNode.active[i] as number
        if (leadsOn[node] === 0) continue
        for (let k = node * width; k < node * width + (atNode.count[node] as number); k++)
          for (const start of starts)
            atNode.offer(
              start,
              atNode.score[k] as number,
              atNode.link[k] as number,
              frame,
              atNode.sequence[k] as number,
            )
      }
      leadingSilence = frame === 0 ? enter(0) : leadingSilence + stay(0)

      for (let i = 0; i < atNode.activeCount; i++) {
        const node = atNode.active[i] as number
        const from = node * width
        const to = from + (atNode.count[node] as number)
        if ((atNode.score[from] as number) < floor) continue
        for (let e = entriesFrom[node] as number; e < (entriesFrom[node + 1] as number); e++) {
          const first = entries[e] as number
          const gain = (entryWeights[e] as number) + enter(phoneOf[first] as number)
          for (let k = from; k < to; k++)
            next.offer(
              first,
              (atNode.score[k] as number) + gain,
              atNode.link[k] as number,
              frame,
              atNode.sequence[k] as number,
            )
        }
      }

      best = -Infinity
      for (let i = 0; i < next.activeCount; i++) {
        const score = next.score[(next.active[i] as number) * width] as number
        if (score > best) best = score
      }
      ;[now, next] = [next, now]
      frame++
    },
    soFar() {
      let place = -1
      for (let i = 0; i < now.activeCount; i++) {
        const at = now.active[i] as number
        if (place < 0 || (now.score[at * width] as number) > (now.score[place * width] as number)) place = at
      }
      if (place < 0) return []
      const behind = wordsOf(now.link[place * width] as number).map(({ word }) => word)
      const isWhole = place < states && (nodeBehind[place] as number) >= 0
      return isWhole ? [...behind, words[wordOf[place] as number] ?? ''] : behind
    },
    readings() {
      arrive(-Infinity)
      const readings: Reading[] = []
      const take = (tokens: Tokens, place: number, node: number): void => {
        if (isFinal[node] === 0) return
        for (let k = place * width; k < place * width + (tokens.count[place] as number); k++) {
          const found = wordsOf(tokens.link[k] as number)
          readings.push({
            sayable: sayableOf[node] as number,
            words: found,
            score: tokens.score[k] as number,
            isAfterTalk: originOf(tokens.link[k] as number) === afterTalkLink,
            mayGoOn: (entriesFrom[node + 1] as number) > (entriesFrom[node] as number),
            silenceAfter: frame - (found.at(-1)?.end ?? frame),
          })
        }
      }
      for (let i = 0; i < atNode.activeCount; i++) {
        const node = atNode.active[i] as number
        take(atNode, node, node)
      }
      for (let i = 0; i < now.activeCount; i++) {
        const place = now.active[i] as number
        if (place >= states) take(now, place, place - states)
      }
      return distinct(readings)
    },
    reset,
  }
}

/** Each sentence of a sayable once, best first. */
function distinct(readings: readonly Reading[]): Reading[] {
  const sorted = readings.toSorted((a, b) => b.score - a.score)
  const known = new Set<string>()
  return sorted.filter(({ sayable, words }) => {
    const key = `${sayable} ${words.map(({ word }) => word).join(' ')}`
    return !known.has(key) && known.add(key)
  })
}
