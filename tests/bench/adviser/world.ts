import type { Chance } from './chance.ts'

/**
 * A bar for the benchmark of the adviser: grinder, machine and hands. It shares nothing with the adviser's model
 * or with the practice bench: a curve of ln(time) over the burrs' place, play, a queue of grounds in the chute, warmth, weather,
 * hands, freaks. Ranges are judgement and common practice, from memory.
 */
export interface Bar {
  /** ln(time) of a double with clean grounds and an exact dose at a place of the burrs, calm and cold */
  readonly curve: (place: number) => number
  readonly scatter: (place: number) => number
  readonly play: number
  /** grams held up in the chute, and grams that a purge runs through */
  readonly holdUp: number
  readonly purge: number
  readonly doseScatter: number
  readonly doseExponent: number
  readonly doseSaid: boolean
  /** what the grinder's full warmth does, and seconds in which it fades */
  readonly heat: number
  readonly cooling: number
  /** straight drift per hour, wander per root hour, and chance and size of lasting jumps */
  readonly trend: number
  readonly wander: number
  readonly jumps: { readonly chance: number; readonly low: number; readonly high: number }
  readonly fastFreaks: number
  readonly slowFreaks: number
  /** chance that the barista says "spraying" of a channel */
  readonly seen: number
  /** of each hand in ln(time); they take turns */
  readonly hands: readonly number[]
  /** chance that a purge is done, and that it is said when it was done */
  readonly purges: number
  readonly purgeSaid: number
  /** chance that a move is made by a notch more or less than said */
  readonly slip: number
  /** chance that the word at the end was missed: 2 to 8 s too long */
  readonly lateWord: number
  /** what a group that idled for a quarter of an hour and more does to ln(time) */
  readonly coldGroup: number
  /** ln(yield) that is let through beyond the recipe's from some shot on, and said */
  readonly longer: { readonly from: number; readonly by: number }
}

export interface BarState {
  notch: number
  place: number
  /** grounds in the chute, first out first */
  chute: { grams: number; place: number }[]
  warmth: number
  drift: number
  at: number
  shots: number
  lastPull: number
}

/** A size of shot: its window, dose, and what it does to ln(time) against the double. */
export interface Size {
  readonly name: 'double' | 'triple'
  readonly opens: number
  readonly closes: number
  readonly dose: number
  readonly off: number
}

export interface Pulled {
  readonly seconds: number
  /** what the tool is told: the word at the end may come late */
  readonly told: number
  readonly spraying: boolean
  readonly freak: boolean
  readonly dose: number
  readonly idle: number
  readonly longer: number
}

export const openBar = (bar: Bar, notch: number): BarState => ({
  notch,
  place: notch,
  chute: [{ grams: bar.holdUp, place: notch }],
  warmth: 0,
  drift: 0,
  at: 0,
  shots: 0,
  lastPull: -1e5,
})

/** Time goes on: burrs cool, the air changes. */
export function waitUntil(bar: Bar, state: BarState, at: number, chance: Chance): void {
  const hours = (at - state.at) / 3600
  state.warmth *= Math.exp((state.at - at) / bar.cooling)
  state.drift += bar.trend * hours + bar.wander * Math.sqrt(hours) * chance.normal()
  if (chance.uniform() < bar.jumps.chance)
    state.drift += chance.between(bar.jumps.low, bar.jumps.high) * (chance.uniform() < 0.5 ? -1 : 1)
  state.at = at
}

/** Turns the collar. The burrs lag by the play. */
export function turn(bar: Bar, state: BarState, notch: number): void {
  state.notch = notch
  state.place = Math.min(Math.max(state.place, notch - bar.play / 2), notch + bar.play / 2)
}

/** Grinds so many grams; gives back what came out of the chute. */
export function grind(bar: Bar, state: BarState, grams: number): { grams: number; place: number }[] {
  state.chute.push({ grams, place: state.place })
  const out: { grams: number; place: number }[] = []
  let left = state.chute.reduce((sum, part) => sum + part.grams, 0) - bar.holdUp
  while (left > 1e-9) {
    const first = state.chute[0]
    if (!first) break
    const taken = Math.min(first.grams, left)
    out.push({ grams: taken, place: first.place })
    left -= taken
    if (taken >= first.grams - 1e-12) state.chute.shift()
    else state.chute[0] = { grams: first.grams - taken, place: first.place }
  }
  return out
}

/** The part of ln(time) that is not the grounds' and not chance. */
export const surroundings = (bar: Bar, state: BarState, size: Size, hand: number): number =>
  size.off + (bar.hands[hand] ?? 0) + bar.heat * Math.min(state.warmth / 10, 1.5) + state.drift

/** ln(time) without chance of the next shot at a notch, if its grounds were clean. */
export function settledTime(bar: Bar, state: BarState, size: Size, hand: number, notch: number): number {
  const place = Math.min(Math.max(state.place, notch - bar.play / 2), notch + bar.play / 2)
  return bar.curve(place) + surroundings(bar, state, size, hand)
}

/** Doses, tamps and pulls one shot. */
export function pull(bar: Bar, state: BarState, size: Size, hand: number, chance: Chance): Pulled {
  const dose = size.dose + bar.doseScatter * chance.normal()
  const out = grind(bar, state, dose)
  const grams = out.reduce((sum, part) => sum + part.grams, 0)
  const ground = out.reduce((sum, part) => sum + (part.grams / grams) * bar.curve(part.place), 0)
  const scatter = bar.scatter(state.place) * chance.normal()
  const kind = chance.uniform()
  const size1 = chance.uniform()
  const seen = chance.uniform() < bar.seen
  const late = chance.uniform() < bar.lateWord ? 2 + 6 * chance.uniform() : 0
  const fast = kind < bar.fastFreaks
  const slow = kind > 1 - bar.slowFreaks
  const idle = state.at - state.lastPull
  const longer = state.shots >= bar.longer.from ? bar.longer.by : 0
  const logTime =
    ground +
    surroundings(bar, state, size, hand) +
    bar.doseExponent * Math.log(dose / size.dose) +
    scatter +
    (fast ? -0.1 - 0.5 * size1 : slow ? 0.15 + 0.3 * size1 : 0) +
    (idle > 900 ? bar.coldGroup : 0) +
    longer
  state.warmth += 1
  state.shots += 1
  state.lastPull = state.at
  // nobody waits for longer than a minute
  const seconds = Math.min(Math.exp(logTime), 60)
  return {
    seconds,
    told: Math.min(seconds + late, 90),
    spraying: fast && seen,
    freak: fast || slow,
    dose,
    idle,
    longer,
  }
}
