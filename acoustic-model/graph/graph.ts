import type { StateOfPhone } from '../kaldi/transitionModel.ts'
import type { EmittingState } from './phoneModel.ts'

/** What an arc consumes: entering an emitting state, or staying in it. `null`: nothing. */
export type Input = { transition: 'forward' | 'loop'; state: StateOfPhone } | null

export interface Arc {
  from: number
  to: number
  input: Input
  /** the word that begins with this arc */
  output: string | null
  cost: number
}

/** The part of a graph that spells one phone. */
export interface Chain {
  enter(from: number, output: string | null, cost: number): void
  /** the node of its last state */
  last: number
}

/** A decoding graph under construction. Node 0 is the start. */
export class Graph {
  readonly arcs: Arc[] = []
  readonly finals = new Set<number>()
  private nodes = 1

  get size(): number {
    return this.nodes
  }

  node(): number {
    return this.nodes++
  }

  empty(from: number, to: number, cost = 0): void {
    this.arcs.push({ from, to, input: null, output: null, cost })
  }

  /**
   * Adds the states of a phone: entering a state is an arc, staying in it a loop on the node behind it, which
   * is the order that the engine's word alignment assumes. The cost of leaving is charged on entering.
   *
   * @param phone number of the engine's phone
   */
  chain(phone: number, states: readonly EmittingState[]): Chain {
    const nodes = states.map(() => this.node())
    states.forEach(({ pdf, furtherPdf = pdf, stay }, state) => {
      const at = nodes[state] ?? 0
      const emitted = { phone, state, pdf, furtherPdf }
      this.arcs.push({
        from: at,
        to: at,
        input: { transition: 'loop', state: emitted },
        output: null,
        cost: stay,
      })
      if (state > 0) this.step(nodes[state - 1] ?? 0, at, phone, state, states, null, 0)
    })
    return {
      enter: (from, output, cost) => this.step(from, nodes[0] ?? 0, phone, 0, states, output, cost),
      last: nodes[nodes.length - 1] ?? 0,
    }
  }

  private step(
    from: number,
    to: number,
    phone: number,
    state: number,
    states: readonly EmittingState[],
    output: string | null,
    cost: number,
  ): void {
    const { pdf = 0, furtherPdf = pdf, leave = 0 } = states[state] ?? {}
    const input: Input = { transition: 'forward', state: { phone, state, pdf, furtherPdf } }
    this.arcs.push({ from, to, input, output, cost: cost + leave })
  }
}
