import type { CommandGraph } from './commandGraph.ts'
import { createCommandSearch, type Reading } from './commandSearch.ts'
import type { TalkModel } from './talkModel.ts'
import { createTalkSearch } from './talkSearch.ts'

/** A command that the sound so far may be, and by how much it is likelier than talk: a natural logarithm. */
export interface ScoredReading extends Reading {
  overTalk: number
}

export interface SearchLimits {
  /** paths this much worse than the best are given up, a natural logarithm */
  beam: number
  /** how many paths with different words are kept in each place */
  width: number
  /** the price of a command that begins after talk, a natural logarithm */
  afterTalk: number
}

/** Commands and talk side by side over one stretch of scores. */
export interface Search {
  /** Takes frames of scores, one after the other in one array. */
  push(scores: Float32Array): void
  /** the words of the best command so far, whole or not */
  soFar(): string[]
  readings(): ScoredReading[]
  /** the best score of any path of a command */
  readonly best: number
  /** frames taken since the last reset */
  readonly frames: number
  reset(): void
}

export function createSearch(commands: CommandGraph, talk: TalkModel, limits: SearchLimits): Search {
  const { beam, width, afterTalk } = limits
  const commandSearch = createCommandSearch(commands, width, afterTalk)
  const talkSearch = createTalkSearch(talk, beam)
  const frameSize = 2 * talk.phones
  let frames = 0
  return {
    push(scores) {
      for (let at = 0; at < scores.length; at += frameSize, frames++) {
        const floor = Math.max(commandSearch.best, talkSearch.best) - beam
        commandSearch.step(scores, at, talkSearch.ended, floor)
        talkSearch.step(scores, at)
      }
    },
    soFar: () => commandSearch.soFar(),
    readings: () =>
      commandSearch.readings().map((reading) => ({ ...reading, overTalk: reading.score - talkSearch.ended })),
    get best() {
      return commandSearch.best
    },
    get frames() {
      return frames
    },
    reset() {
      frames = 0
      commandSearch.reset()
      talkSearch.reset()
    },
  }
}
