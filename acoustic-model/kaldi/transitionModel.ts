import type { BinaryWriter } from './binaryWriter.ts'

/** One emitting state of a phone with the network output (pdf) that scores it. */
export interface StateOfPhone {
  /** index of the phone, from 1 */
  phone: number
  /** which of the phone's states, from 0 */
  state: number
  pdf: number
  /** the output that scores every frame after the first, where that is another one */
  furtherPdf?: number
}

/** The label that the graph puts on entering a state, and on staying in it. */
export interface TransitionIds {
  forward: number
  loop: number
}

/**
 * Kaldi's transition model for phones that all have the same number of states, left to right, without skips.
 * Its probabilities are not used: the graph carries the transition costs.
 */
export class TransitionModel {
  private readonly sorted: readonly StateOfPhone[]
  private readonly indexes: ReadonlyMap<string, number>
  /** whether the form with a pdf for the first frame and one for the rest is needed */
  private readonly twoPdfs: boolean

  /**
   * @param phones how many phones there are
   * @param statesPerPhone emitting states of each
   * @param states every state in use, in any order; each phone must have all of its states at least once
   */
  constructor(
    private readonly phones: number,
    private readonly statesPerPhone: number,
    states: Iterable<StateOfPhone>,
  ) {
    const distinct = new Map([...states].map((state) => [keyOf(state), state]))
    this.sorted = [...distinct.values()].sort(
      (a, b) => a.phone - b.phone || a.state - b.state || a.pdf - b.pdf || furtherPdf(a) - furtherPdf(b),
    )
    this.twoPdfs = this.sorted.some((state) => furtherPdf(state) !== state.pdf)
    this.indexes = new Map(this.sorted.map((state, index) => [keyOf(state), index]))
    const present = new Set(this.sorted.map(({ phone, state }) => `${phone} ${state}`))
    for (let phone = 1; phone <= phones; phone++)
      for (let state = 0; state < statesPerPhone; state++)
        if (!present.has(`${phone} ${state}`)) throw new Error(`phone ${phone} has nothing in state ${state}`)
  }

  /** @throws Error for a state that was not given to the constructor */
  transitionIds(state: StateOfPhone): TransitionIds {
    const index = this.indexes.get(keyOf(state))
    if (index === undefined) throw new Error(`no such state: ${keyOf(state)}`)
    return { loop: 2 * index + 1, forward: 2 * index + 2 }
  }

  write(to: BinaryWriter): void {
    to.token('<TransitionModel>')
    to.token('<Topology>')
    to.int32Vector(Array.from({ length: this.phones }, (_, index) => index + 1))
    to.int32Vector([-1, ...new Array<number>(this.phones).fill(0)])
    if (this.twoPdfs) to.int32(-1) // each state has two classes of pdf
    to.int32(1) // one topology for all
    to.int32(this.statesPerPhone + 1)
    for (let state = 0; state < this.statesPerPhone; state++) {
      to.int32(this.twoPdfs ? 2 * state : state)
      if (this.twoPdfs) to.int32(2 * state + 1)
      to.int32(2)
      for (const next of [state, state + 1]) {
        to.int32(next)
        to.float(0.5)
      }
    }
    to.int32(-1) // the final state emits nothing
    if (this.twoPdfs) to.int32(-1)
    to.int32(0)
    to.token('</Topology>')
    to.token(this.twoPdfs ? '<Tuples>' : '<Triples>')
    to.int32(this.sorted.length)
    for (const state of this.sorted) {
      for (const value of [state.phone, state.state, state.pdf]) to.int32(value)
      if (this.twoPdfs) to.int32(furtherPdf(state))
    }
    to.token(this.twoPdfs ? '</Tuples>' : '</Triples>')
    to.token('<LogProbs>')
    to.floatVector([0, ...new Array<number>(2 * this.sorted.length).fill(Math.log(0.5))])
    to.token('</LogProbs>')
    to.token('</TransitionModel>')
  }
}

function furtherPdf({ pdf, furtherPdf = pdf }: StateOfPhone): number {
  return furtherPdf
}

function keyOf(state: StateOfPhone): string {
  return `${state.phone} ${state.state} ${state.pdf} ${furtherPdf(state)}`
}
