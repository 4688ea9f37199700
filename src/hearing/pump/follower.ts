import { frameSeconds, middleOf } from './bands.ts'
import { createScale, riseOf, type PumpModel } from './evidence.ts'
import { followFloor, type Floor } from './floor.ts'

/** A stretch in which the pump ran, seconds of the stream. `end` is null while it runs. */
export interface PumpRun {
  onset: number
  end: number | null
}

/** What the follower says after a frame. */
export type PumpNews =
  | { kind: 'on'; onset: number }
  /** it went silent at `end`; it may go on after a pause */
  | { kind: 'pausing'; end: number }
  /** it went on after a pause */
  | { kind: 'resumed' }
  | { kind: 'off'; onset: number; end: number }

/** Evidence needed to say that the pump runs, and that it does no more. */
const toBegin = 18
const toEnd = 7
/** Seconds a pump must have run to be spoken of. */
const least = 0.7
/** No pump runs longer, seconds: something else is taken for it. */
export const longest = 120

/** Frames before the first evidence in which the pump may have begun to turn: a motor comes up to speed. */
const reach = 20
/** How far a frame has risen from the room to the pump, 0 to 1, when the pump has begun. */
const risen = 0.3

/** Seconds of silence after which a run is over, as long as it has lasted so far. */
export type PauseRule = (lasted: number) => number

/**
 * Follows a pump through a stream of frames: a cumulative sum of the evidence each way (Page, Continuous inspection
 * schemes, Biometrika 41, 1954), whose last zero is the likeliest moment of the change.
 */
export class Follower {
  readonly #scale: (bands: Float32Array, floor: Floor) => number
  /** rises of the last frames, by frame number */
  readonly #rises = new Float32Array(1024)
  #frame: number
  #sum = 0
  /** frame after the last zero of the sum */
  #turn: number
  #onset = 0
  #end = 0
  #state: 'off' | 'on' | 'pausing' = 'off'

  constructor(
    private readonly model: PumpModel,
    private readonly floor: Floor,
    private readonly pauseRule: PauseRule,
    firstFrame = 0,
  ) {
    this.#scale = createScale(model)
    this.#frame = this.#turn = firstFrame
  }

  /** Seconds of the stream at the middle of a frame. */
  timeOf(frame: number): number {
    return middleOf(frame)
  }

  /** When the pump fell silent, while it may go on; null while it runs. */
  get lastEnd(): number | null {
    return this.#state === 'pausing' ? changeBefore(this.#end) : null
  }

  get isOn(): boolean {
    return this.#state !== 'off'
  }

  /** evidence of the last frame, for or against */
  evidence = 0

  push(bands: Float32Array): PumpNews | null {
    const evidence = this.#scale(bands, this.floor)
    this.evidence = evidence
    const frame = this.#frame++
    this.#rises[frame % this.#rises.length] = riseOf(bands, this.floor, this.model)
    const isFor = this.#state === 'on' ? -evidence : evidence
    this.#sum = Math.max(0, this.#sum + isFor)
    if (this.#sum === 0) this.#turn = frame + 1
    if (this.#state === 'off' && this.#sum < toBegin / 3) followFloor(this.floor, bands)
    switch (this.#state) {
      case 'off':
        return this.#mayBegin(frame)
      case 'on':
        return this.#mayEnd(frame)
      case 'pausing':
        return this.#mayResume(frame)
    }
  }

  #enter(state: 'off' | 'on' | 'pausing', frame: number): void {
    this.#state = state
    this.#sum = 0
    this.#turn = frame + 1
  }

  #mayBegin(frame: number): PumpNews | null {
    if (this.#sum < toBegin || (frame - this.#turn) * frameSeconds < least) return null
    this.#onset = this.#turn
    while (this.#turn - this.#onset < reach && this.#hasRisen(this.#onset - 1)) this.#onset--
    this.#enter('on', frame)
    return { kind: 'on', onset: changeBefore(this.#onset) }
  }

  #hasRisen(frame: number): boolean {
    return frame >= 0 && (this.#rises[frame % this.#rises.length] ?? 0) > risen
  }

  #mayEnd(frame: number): PumpNews | null {
    if (middleOf(frame) - middleOf(this.#onset) > longest) {
      this.floor.isNew = true
      this.#end = frame
      return this.#over(frame)
    }
    if (this.#sum < toEnd) return null
    this.#end = this.#turn
    this.#enter('pausing', frame)
    return { kind: 'pausing', end: changeBefore(this.#end) }
  }

  #mayResume(frame: number): PumpNews | null {
    const pause = this.pauseRule((this.#end - this.#onset) * frameSeconds)
    const resumed = (this.#turn - this.#end) * frameSeconds <= pause
    if (this.#sum >= toBegin / 2 && resumed) {
      this.#enter('on', frame)
      return { kind: 'resumed' }
    }
    // evidence that grows, and began in time, is waited for
    if ((frame - this.#end) * frameSeconds <= pause || (this.#sum > toBegin / 6 && resumed)) return null
    return this.#over(frame)
  }

  #over(frame: number): PumpNews {
    this.#enter('off', frame)
    return { kind: 'off', onset: changeBefore(this.#onset), end: changeBefore(this.#end) }
  }
}

/** A change lies between the frame that first spoke for it and the one before. */
const changeBefore = (frame: number): number => middleOf(frame) - frameSeconds / 2
