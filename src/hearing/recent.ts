/** The last seconds of a stream of samples, addressed by their number since the stream began. */
export class Recent {
  readonly #ring: Float32Array
  #end = 0

  /** @param room how many samples are kept */
  constructor(room: number) {
    this.#ring = new Float32Array(room)
  }

  /** one past the newest sample */
  get end(): number {
    return this.#end
  }

  /** the oldest sample still kept */
  get start(): number {
    return Math.max(0, this.#end - this.#ring.length)
  }

  push(samples: Float32Array): void {
    for (const sample of samples) this.#ring[this.#end++ % this.#ring.length] = sample
  }

  /** @throws RangeError when part of it is not kept any more, or not there yet */
  slice(from: number, to: number): Float32Array {
    if (from < this.start || to > this.#end) {
      throw new RangeError(`samples ${from} to ${to} are not among ${this.start} to ${this.#end}`)
    }
    return Float32Array.from(
      { length: to - from },
      (_, i) => this.#ring[(from + i) % this.#ring.length] as number,
    )
  }
}
