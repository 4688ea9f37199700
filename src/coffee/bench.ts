import type { Look } from './judgement.ts'
import type { Air } from './grinderBelief.ts'
import type { Recipe } from './recipe.ts'

/** A simulated grinder and machine: a plain value with its own random state. */
export interface Bench {
  readonly version: 1
  readonly random: number
  readonly settings: BenchSettings
  /** seconds of the last thing that happened */
  readonly at: number
  /** rise of the burrs over the room, kelvin */
  readonly burrHeat: number
  /** what stands in the chute: its setting, notches */
  readonly retainedNotch: number
  /** weather drift of ln(resistance) */
  readonly weather: number
}

/** How one bench differs from another. Left out: an ordinary one. */
export interface BenchSettings {
  readonly [name: string]: number
}

export interface Pull {
  /** notches, higher is finer */
  readonly notch: number
  readonly recipe: Recipe
  /** seconds, not before the last */
  readonly at: number
  readonly air?: Air
}

export interface SimulatedShot {
  /** from pump on to the recipe's yield, seconds */
  readonly seconds: number
  readonly looks: readonly Look[]
  readonly channelled: boolean
  /** grams really in the basket */
  readonly dose: number
  /** part of the dose that was ground at the setting before */
  readonly oldGrind: number
}

/** A bench for a random seed (a whole number). The same seed and pulls give the same shots. */
export function createBench(_seed: number, _settings?: Partial<BenchSettings>): Bench {
  throw new Error('being written')
}

/** Grinds, doses, tamps and pulls one shot. @throws OutOfRange */
export function pullShot(_bench: Bench, _pull: Pull): { bench: Bench; shot: SimulatedShot } {
  throw new Error('being written')
}

/** Grinds a little at a setting and throws it away. */
export function purgeBench(_bench: Bench, _purge: { notch: number; at: number }): Bench {
  throw new Error('being written')
}
