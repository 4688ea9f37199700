import type { Chance } from './chance.ts'
import type { Bar, Size } from './world.ts'

/** A kind of bar, and the mornings that are pulled in it. */
export interface Scenario {
  readonly name: string
  /** what differs from an ordinary bar */
  readonly bar?: (chance: Chance) => Partial<Bar>
  readonly curve?: 'straight' | 'convex' | 'kinked' | 'uneven' | 'coarse' | 'fine' | 'turning'
  /** share of triples, and by how much they want another ln(time) than the windows' middles have it; none when left out */
  readonly triples?: { readonly share: number; readonly gap: number }
  /** days of fifty shots, and the jump of ln(time) between them */
  readonly days?: { readonly count: number; readonly low: number; readonly high: number }
  /** shots in which one hand pulls before the next takes over */
  readonly turns?: number
  readonly shots?: number
}

const size = (name: 'double' | 'triple', off: number): Size =>
  name === 'double'
    ? { name, opens: 17, closes: 22, dose: 18, off: 0 }
    : { name, opens: 25, closes: 30, dose: 22, off }

const middle = ({ opens, closes }: Size): number => Math.log(opens * closes) / 2

/** Sizes pulled in a morning: doubles or triples alone in turn, or a mix of both. */
export function sizesOf({ triples }: Scenario, index: number): { size: Size; share: number }[] {
  const double = size('double', 0)
  const triple = size('triple', 0)
  const gap = middle(triple) - middle(double)
  if (triples)
    return [
      { size: double, share: 1 - triples.share },
      { size: { ...triple, off: gap + triples.gap }, share: triples.share },
    ]
  return [{ size: index % 2 === 0 ? double : { ...triple, off: gap }, share: 1 }]
}

const ordinary = (chance: Chance): Bar => {
  const scatter = chance.between(0.025, 0.07)
  return {
    curve: () => 0,
    scatter: () => scatter,
    play: 0,
    holdUp: chance.between(0.5, 2),
    purge: 3,
    doseScatter: 0,
    doseExponent: 2.5,
    doseSaid: false,
    heat: 0.03 * chance.normal(),
    cooling: chance.between(600, 1400),
    trend: 0.02 * chance.normal(),
    wander: chance.between(0.01, 0.05),
    jumps: { chance: 0, low: 0, high: 0 },
    fastFreaks: 0.01,
    slowFreaks: 0,
    seen: 0.5,
    hands: [0],
    purges: 1,
    purgeSaid: 1,
    slip: 0,
    lateWord: 0,
    coldGroup: 0,
    longer: { from: Infinity, by: 0 },
  }
}

/** ln(time) of a double over the place of the burrs, by steps of their own between whole places. */
function curveOf(kind: NonNullable<Scenario['curve']>, chance: Chance): (place: number) => number {
  const notch =
    kind === 'coarse'
      ? chance.between(0.28, 0.4)
      : kind === 'fine'
        ? chance.between(0.015, 0.04)
        : chance.between(0.07, 0.18)
  const bend = chance.between(0.04, 0.1)
  const start = chance.between(-0.5, 0.5)
  const step = (place: number): number => {
    if (kind === 'convex') return notch * Math.min(Math.max(Math.exp(bend * place), 0.35), 3)
    if (kind === 'kinked') return place < 0 ? 0.05 : 0.2
    if (kind === 'turning') return place < 4 ? notch : -0.5 * notch
    return notch
  }
  const reach = 60
  const uneven = Array.from({ length: 2 * reach }, () => (kind === 'uneven' ? chance.between(0.2, 1.8) : 1))
  const heights = [0]
  for (let place = -reach; place < reach; place += 1)
    heights.push((heights.at(-1) ?? 0) + step(place + 0.5) * (uneven[place + reach] ?? 1))
  const at = (place: number): number => {
    const along = Math.min(Math.max(place + reach, 0), 2 * reach - 0.001)
    const low = Math.floor(along)
    const [a = 0, b = 0] = [heights[low], heights[low + 1]]
    return a + (along - low) * (b - a)
  }
  const target = Math.log(17 * 22) / 2
  const zero = at(start)
  return (place) => target + at(place) - zero
}

export function barOf(scenario: Scenario, chance: Chance): Bar {
  const base = ordinary(chance)
  const curve = curveOf(scenario.curve ?? 'straight', chance)
  const bar = { ...base, ...scenario.bar?.(chance), curve }
  if (scenario.curve !== 'turning') return bar
  const scatter = bar.scatter(0)
  return { ...bar, scatter: (place) => scatter * (place > 4 ? 1 + (place - 4) / 2 : 1) }
}

const scattered = (deviation: number): Partial<Bar> => ({ scatter: () => deviation })
/** Everything that a real bar has, at once. */
const realBar = (chance: Chance): Partial<Bar> => ({
  play: 1,
  holdUp: 5,
  purge: 1.5,
  doseScatter: 0.3,
  fastFreaks: 0.05,
  trend: 0.05 * (chance.uniform() < 0.5 ? -1 : 1),
  heat: 0.08 * chance.normal(),
})

export const scenarios: readonly Scenario[] = [
  { name: 'straight scale, clean chute' },
  { name: 'convex scale', curve: 'convex' },
  { name: 'kinked scale', curve: 'kinked' },
  { name: 'uneven notches', curve: 'uneven' },
  { name: 'coarse notches, 28 to 40 %', curve: 'coarse' },
  { name: 'fine notches, 1.5 to 4 %', curve: 'fine' },
  { name: 'past four finer it turns', curve: 'turning' },
  { name: 'play of one notch', bar: () => ({ play: 1 }) },
  { name: 'play of two notches', bar: () => ({ play: 2 }) },
  {
    name: 'holds up 4 to 6 g, half purged',
    bar: (chance) => ({ holdUp: chance.between(4, 6), purge: 1.5 }),
  },
  { name: 'dosing chamber, 8 to 14 g', bar: (chance) => ({ holdUp: chance.between(8, 14), purge: 1.5 }) },
  { name: 'dose 0.3 g, not said', bar: () => ({ doseScatter: 0.3 }) },
  { name: 'dose 0.5 g, said', bar: () => ({ doseScatter: 0.5, doseExponent: 2.7, doseSaid: true }) },
  { name: 'channels, 5 %', bar: () => ({ fastFreaks: 0.05 }) },
  { name: 'channels 12 %, scatter 8 %', bar: () => ({ fastFreaks: 0.12, ...scattered(0.08) }) },
  { name: 'slow freaks, 5 %', bar: () => ({ slowFreaks: 0.05 }) },
  { name: 'drift 6 % an hour', bar: (chance) => ({ trend: 0.06 * (chance.uniform() < 0.5 ? -1 : 1) }) },
  { name: 'drift 15 % an hour', bar: (chance) => ({ trend: 0.15 * (chance.uniform() < 0.5 ? -1 : 1) }) },
  { name: 'lasting jumps, 4 % of shots', bar: () => ({ jumps: { chance: 0.04, low: 0.06, high: 0.2 } }) },
  { name: 'warms by 20 %', bar: (chance) => ({ heat: chance.uniform() < 0.5 ? -0.2 : 0.2 }) },
  { name: 'five days, jumps 3 to 6 %', days: { count: 5, low: 0.03, high: 0.06 } },
  { name: 'five days, jumps 8 to 20 %', days: { count: 5, low: 0.08, high: 0.2 } },
  { name: 'trainee, scatter 10 %', bar: () => scattered(0.1) },
  { name: 'trainee, scatter 14 %', bar: () => scattered(0.14) },
  { name: 'two hands 10 % apart', bar: () => ({ hands: [0.05, -0.05] }), turns: 5 },
  { name: 'moves wrong by a notch, 10 %', bar: () => ({ slip: 0.1 }) },
  { name: 'last word missed, 4 %', bar: () => ({ lateWord: 0.04 }) },
  { name: 'cold group, 12 %', bar: () => ({ coldGroup: 0.12 }) },
  { name: 'runs it 12 % longer from shot 20', bar: () => ({ longer: { from: 20, by: 0.12 } }) },
  { name: 'purged, never said', bar: () => ({ purgeSaid: 0 }) },
  { name: 'purged, said half the time', bar: () => ({ purgeSaid: 0.5 }) },
  { name: 'never purged, holds 5 g', bar: () => ({ purges: 0, purgeSaid: 0, holdUp: 5 }) },
  { name: 'a real bar, all at once', curve: 'convex', bar: realBar },
  {
    name: 'a real bar, purge never said',
    curve: 'convex',
    bar: (chance) => ({ ...realBar(chance), purgeSaid: 0 }),
  },
  { name: 'triples 30 %, same notch', triples: { share: 0.3, gap: 0 }, shots: 60 },
  { name: 'triples 30 %, 10 % apart', triples: { share: 0.3, gap: 0.1 }, shots: 60 },
  { name: 'triples 30 %, 20 % apart', triples: { share: 0.3, gap: 0.2 }, shots: 60 },
  { name: 'triples 30 %, 30 % apart', triples: { share: 0.3, gap: 0.3 }, shots: 60 },
]
