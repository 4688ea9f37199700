import type { WordPosition } from './wordPosition.ts'

/** One emitting state of a hidden Markov model. Costs are negative logarithms, scaled as the graph's are. */
export interface EmittingState {
  /** which output of the network scores it */
  pdf: number
  /** which output scores every frame after the first, where that is another one */
  furtherPdf?: number
  /** cost of each further frame in the state */
  stay: number
  /** cost of leaving it */
  leave: number
}

/**
 * How phones are spelled in states. The graph is built from this alone, so that a model with triphones of
 * three states and one with a single state a phone share a builder: phones whose neighbours do not change
 * their states are shared by themselves.
 */
export interface PhoneModel {
  /** emitting states of every phone */
  statesPerPhone: number
  /** phones that words are made of */
  speech: readonly string[]
  /** what may be heard between words: silence first */
  fillers: readonly Filler[]
  /** @param left the phone before, or {@link silence} */
  inContext(phone: string, left: string, right: string, position: WordPosition): readonly EmittingState[]
  withoutContext(phone: string): readonly EmittingState[]
}

export interface Filler {
  phone: string
  /** cost of each time it is heard */
  cost: number
}

/** Name of the silence phone, which is also the neighbour of a word at a pause. */
export const silence = 'SIL'
