import { createBandStream, frameSeconds, type BandStream } from './bands.ts'
import { leaveOneOut, median, type Checked } from './check.ts'
import type { PumpModel } from './evidence.ts'
import { History, intoExcerpt, type TaughtShot } from './excerpt.ts'
import { newFloor } from './floor.ts'
import { Follower, type PauseRule, type PumpNews } from './follower.ts'
import { learnPump, pauseRuleOf, prepare, type PreparedShot } from './learn.ts'

/** Shots that are kept to learn from: the last so many. */
const kept = 8
/** Shots it must have learnt from, and the share of them that it must have been right about. */
const leastShots = 5
const leastRight = 0.8
/** Seconds of sound kept around a shot: the grinder before it, the steam after it. */
const before = 25
const after = 12
/** Seconds between the end of one shot and what is kept for the next. */
const apart = 2
/** Seconds of sound in memory: a long shot with what is around it. */
const memory = 240

/** How far it has come with this machine in this room. */
export interface PumpKnowledge {
  /** shots learnt from */
  shots: number
  /** those of them that it heard rightly when left out */
  right: number
  isReady: boolean
  /** seconds by which the words come after the pump, the middle of all: at the start and at the end */
  late: { onset: number; end: number }
}

export type PumpReport =
  | PumpNews
  | {
      kind: 'learnt'
      knowledge: PumpKnowledge
      /** to be kept for the next day */ shots: readonly TaughtShot[]
    }

const unknown: PumpKnowledge = { shots: 0, right: 0, isReady: false, late: { onset: 0, end: 0 } }

/** Listens to a room, learns its pump from shots that somebody timed, and says when it runs. All times are the caller's, seconds. */
export class PumpStudent {
  #shots: (TaughtShot | PreparedShot)[]
  #lastEnd = -Infinity
  /** timed, but what comes after them is still to be heard */
  #waiting: { onset: number; end: number }[] = []
  #learnt: { model: PumpModel; pauseRule: PauseRule } | null = null
  #knowledge = unknown
  #zero = 0
  #bands: BandStream = createBandStream()
  #history = new History(memory)
  #follower: Follower | null = null
  #floor = newFloor()

  /** @param shots what was kept of earlier days */
  constructor(
    private readonly report: (report: PumpReport) => void,
    shots: readonly TaughtShot[] = [],
  ) {
    this.#shots = [...shots]
    this.#learn()
  }

  get knowledge(): PumpKnowledge {
    return this.#knowledge
  }

  /** An unbroken stretch of sound begins; `zero` is the time of its first sample. */
  begin(zero: number): void {
    this.#zero = zero
    this.#bands = createBandStream()
    this.#history = new History(memory)
    this.#floor = newFloor()
    this.#waiting = []
    this.#lastEnd = -Infinity
    this.#follow()
  }

  /** The next samples in -1..1 at `bandRate`. */
  hear(samples: Float32Array): void {
    this.#bands.push(samples, (bands) => {
      this.#history.push(bands)
      const news = this.#follower?.push(bands)
      if (news) this.report(this.#timed(news))
    })
    this.#takeLessons()
  }

  /** Somebody timed a shot, by word, key or pedal. */
  taught(onset: number, end: number): void {
    this.#waiting.push({ onset, end })
  }

  /** Forgets this pump. */
  forget(): void {
    this.#shots = []
    this.#waiting = []
    this.#learnt = null
    this.#follower = null
    this.#knowledge = unknown
    this.report({ kind: 'learnt', knowledge: unknown, shots: [] })
  }

  #takeLessons(): void {
    const now = this.#zero + this.#history.end * frameSeconds
    const [next] = this.#waiting
    if (next === undefined || now < next.end + after) return
    this.#waiting.shift()
    const frame = (time: number): number => Math.round((time - this.#zero) / frameSeconds)
    // the shot before is none of this one's surroundings
    const from = Math.max(next.onset - before, this.#lastEnd + apart)
    const excerpt = this.#history.slice(frame(from), frame(next.end + after))
    this.#lastEnd = next.end
    const onset = intoExcerpt(next.onset - this.#zero, excerpt.first)
    const end = intoExcerpt(next.end - this.#zero, excerpt.first)
    // begun before there was sound: nothing to learn from
    if (onset < 1) return
    this.#shots = [...this.#shots, { bytes: excerpt.bytes, onset, end }].slice(-kept)
    this.#learn()
  }

  #learn(): void {
    if (this.#shots.length >= leastShots) {
      const prepared = prepare(this.#shots)
      this.#shots = prepared
      const model = learnPump(prepared)
      const pauseRule = pauseRuleOf(prepared, model)
      this.#learnt = { model, pauseRule }
      this.#knowledge = knowledgeOf(leaveOneOut(prepared, pauseRule))
      this.#follow()
    } else this.#knowledge = { ...unknown, shots: this.#shots.length }
    const shots = this.#shots.map((shot) => ({
      bytes: shot.bytes,
      ...('said' in shot ? saidIn(shot) : shot),
    }))
    this.report({ kind: 'learnt', knowledge: this.#knowledge, shots })
  }

  #follow(): void {
    // a run that is being followed is followed to its end
    if (this.#learnt === null) return
    const { model, pauseRule } = this.#learnt
    this.#follower = new Follower(model, this.#floor, pauseRule, this.#history.end)
  }

  #timed(news: PumpNews): PumpNews {
    switch (news.kind) {
      case 'on':
        return { ...news, onset: news.onset + this.#zero }
      case 'pausing':
        return { ...news, end: news.end + this.#zero }
      case 'resumed':
        return news
      case 'off':
        return { ...news, onset: news.onset + this.#zero, end: news.end + this.#zero }
    }
  }
}

function knowledgeOf(checked: readonly Checked[]): PumpKnowledge {
  const right = checked.filter(({ isRight }) => isRight).length
  const late = checked.flatMap((one) => (one.late === null ? [] : [one.late]))
  return {
    shots: checked.length,
    right,
    isReady: checked.length >= leastShots && right >= leastRight * checked.length,
    late: { onset: median(late.map(({ onset }) => onset)), end: median(late.map(({ end }) => end)) },
  }
}

const saidIn = ({ said: { onset, end } }: PreparedShot) => ({ onset, end })
