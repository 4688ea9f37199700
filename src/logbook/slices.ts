/** Milliseconds of work after which the page gets its turn: well below what a cue may be late. */
const sliceLength = 12

/** Raised by {@link Slices} when the work is no longer wanted. */
export class Cancelled extends Error {
  override readonly name = 'Cancelled'
}

/** Long work in slices, so that the page, its sounds and the bar's clock go on meanwhile. */
export interface Slices {
  /**
   * To be awaited now and then: ends the slice when it has lasted long enough.
   * @throws Cancelled when the work is no longer wanted
   */
  (): Promise<void>
}

export function createSlices(signal?: AbortSignal): Slices {
  let end = performance.now() + sliceLength
  return async () => {
    if (signal?.aborted) throw new Cancelled('cancelled')
    if (performance.now() < end) return
    await new Promise((wake) => setTimeout(wake))
    end = performance.now() + sliceLength
  }
}
