import { bandCount, frameSeconds, middleOf, silence } from './bands.ts'

/** Half decibels above silence: one byte a band. */
const pack = (level: number): number => Math.min(255, Math.max(0, Math.round((level - silence) * 2)))
const unpack = (byte: number): number => byte / 2 + silence

/** A stretch of frames as it is kept: bytes, {@link bandCount} a frame. */
export interface Excerpt {
  bytes: Uint8Array<ArrayBuffer>
}

/** A shot that somebody timed, with what was heard around it. Seconds from the middle of the excerpt's first frame. */
export interface TaughtShot extends Excerpt {
  onset: number
  end: number
}

export const frameCount = ({ bytes }: Excerpt): number => bytes.length / bandCount

/** One frame, unpacked. */
export function frameOf({ bytes }: Excerpt, frame: number, into: Float32Array): Float32Array {
  for (let b = 0; b < bandCount; b++) into[b] = unpack(bytes[frame * bandCount + b] ?? 0)
  return into
}

/** Number of the frame whose middle is nearest to a time. */
export const frameAt = (seconds: number): number => Math.round(seconds / frameSeconds)

/** The frames of the last minutes. */
export class History {
  readonly #bytes: Uint8Array
  readonly #room: number
  #end = 0

  /** @param seconds how much is kept */
  constructor(seconds: number) {
    this.#room = Math.ceil(seconds / frameSeconds)
    this.#bytes = new Uint8Array(this.#room * bandCount)
  }

  /** Number of the next frame. */
  get end(): number {
    return this.#end
  }

  get start(): number {
    return Math.max(0, this.#end - this.#room)
  }

  push(bands: Float32Array): void {
    const at = (this.#end++ % this.#room) * bandCount
    for (let b = 0; b < bandCount; b++) this.#bytes[at + b] = pack(bands[b] ?? silence)
  }

  /** Frames `from` up to `to`, as far as they are kept. */
  slice(from: number, to: number): Excerpt & { first: number } {
    const first = Math.max(from, this.start)
    const bytes = new Uint8Array(Math.max(0, Math.min(to, this.#end) - first) * bandCount)
    for (let frame = 0; frame < bytes.length / bandCount; frame++) {
      const at = ((first + frame) % this.#room) * bandCount
      bytes.set(this.#bytes.subarray(at, at + bandCount), frame * bandCount)
    }
    return { bytes, first }
  }
}

/** Seconds of the stream to seconds of an excerpt whose first frame is `first`. */
export const intoExcerpt = (seconds: number, first: number): number => seconds - middleOf(first)
