import type { TalkModel } from './talkModel.ts'

/** How well talk fits so far. Scores are sums of the network's scores and of logarithms of prices. */
export interface TalkSearch {
  /**
   * Before a frame: the best score of talk that has just ended a word, a stretch of phones or a pause, or has not begun; and
   * the frame at which the last pause or the utterance began.
   */
  readonly ended: number
  /** the best score of all, in the midst of a word or not */
  readonly best: number
  /** Takes a frame of scores: output 2p for the first frame of phone p, 2p + 1 for every further one. */
  step(scores: Float32Array, at: number): void
  reset(): void
}

/** A Viterbi search: only the best way to each place is followed. */
export function createTalkSearch(model: TalkModel, beam: number): TalkSearch {
  const { phones, phoneOf, isLast, entries, wordPrice, begin, follow, end } = model
  const states = phoneOf.length
  let chains = new Float64Array(states)
  let nextChains = new Float64Array(states)
  let loop = new Float64Array(phones)
  let nextLoop = new Float64Array(phones)
  let silence = -Infinity
  let ended = 0
  let best = 0

  const reset = (): void => {
    chains.fill(-Infinity)
    loop.fill(-Infinity)
    silence = -Infinity
    ended = best = 0
  }
  reset()

  return {
    get ended() {
      return ended
    },
    get best() {
      return best
    },
    step(scores, at) {
      const enter = (phone: number): number => scores[at + 2 * phone] as number
      const stay = (phone: number): number => scores[at + 2 * phone + 1] as number
      const floor = best - beam

      // known words, one chain of phones each
      nextChains.fill(-Infinity)
      for (let s = 0; s < states; s++) {
        const score = chains[s] as number
        if (score < floor) continue
        const phone = phoneOf[s] as number
        const stayed = score + stay(phone)
        if (stayed > (nextChains[s] as number)) nextChains[s] = stayed
        if (isLast[s] === 0) {
          const entered = score + enter(phoneOf[s + 1] as number)
          if (entered > (nextChains[s + 1] as number)) nextChains[s + 1] = entered
        }
      }
      for (const first of entries) {
        const entered = ended - wordPrice + enter(phoneOf[first] as number)
        if (entered > (nextChains[first] as number)) nextChains[first] = entered
      }

      // any phones
      for (let q = 1; q < phones; q++) {
        let into = ended + (begin[q] as number)
        for (let p = 1; p < phones; p++) {
          const moved = (loop[p] as number) + (follow[p * phones + q] as number)
          if (moved > into) into = moved
        }
        nextLoop[q] = Math.max(into + enter(q), (loop[q] as number) + stay(q))
      }
      nextLoop[0] = -Infinity

      silence = Math.max(ended + enter(0), silence + stay(0))

      let nextEnded = silence
      let top = silence
      for (let s = 0; s < states; s++) {
        const score = nextChains[s] as number
        if (score > top) top = score
        if (isLast[s] === 1 && score > nextEnded) nextEnded = score
      }
      for (let p = 1; p < phones; p++) {
        const score = nextLoop[p] as number
        if (score > top) top = score
        if (score + (end[p] as number) > nextEnded) nextEnded = score + (end[p] as number)
      }
      ended = nextEnded
      best = top
      ;[chains, nextChains] = [nextChains, chains]
      ;[loop, nextLoop] = [nextLoop, loop]
    },
    reset,
  }
}
