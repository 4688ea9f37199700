import { chanceFrom } from './chance.ts'
import { policies, type PolicyName, type Seen } from './policies.ts'
import { barOf, sizesOf, type Scenario } from './scenarios.ts'
import { grind, openBar, pull, settledTime, turn, waitUntil, type Size } from './world.ts'

/** What one morning, or one week, came to under one policy. */
export interface Tally {
  readonly shots: number
  readonly hits: number
  /** shots until the first one landed, counting it; all of them if none did */
  readonly firstHit: number
  readonly moves: number
  /** moves at a setting whose settled time lay in the window */
  readonly needless: number
  /** moves to a setting that is further off */
  readonly wrong: number
  /** grams of coffee in shots that missed and in purges */
  readonly wasted: number
  /** of the shots foretold: how many lay in the 90 % interval, what chance was said, how many landed */
  readonly foretold: number
  readonly inside: number
  readonly chance: number
  readonly landed: number
}

const landed = (seconds: number, { opens, closes }: Size): boolean => seconds >= opens && seconds <= closes

/** One morning or week of a scenario under a policy. The same number gives the same bar, orders and chance to each. */
export function work(scenario: Scenario, name: PolicyName, index: number): Tally {
  const seed = 1 + 7919 * index
  const chance = chanceFrom(seed)
  const bar = barOf(scenario, chance)
  const sizes = sizesOf(scenario, index)
  const longest =
    scenario.curve === 'coarse' ? 3 : scenario.curve === 'fine' ? 20 : scenario.curve === 'turning' ? 5 : 10
  const away = 1 + (Math.floor(index / 2) % longest)
  const start = 100 + (chance.uniform() < 0.5 ? -away : away)
  const shifted = {
    ...bar,
    curve: (place: number) => bar.curve(place - 100),
    scatter: (place: number) => bar.scatter(place - 100),
  }
  const state = openBar(shifted, start)
  const policy = policies[name]({ bar: shifted, state, sizes })
  const days = scenario.days ?? { count: 1, low: 0, high: 0 }
  const shots = scenario.shots ?? 50

  const tally = {
    shots: 0,
    hits: 0,
    firstHit: 0,
    moves: 0,
    needless: 0,
    wrong: 0,
    wasted: 0,
    foretold: 0,
    inside: 0,
    chance: 0,
    landed: 0,
  }
  let said = start
  let purgeSaid = true
  let expected: ReturnType<(typeof policies)[PolicyName]> extends { after(shot: Seen): infer A }
    ? A | null
    : never = null
  for (let day = 0; day < days.count; day += 1) {
    if (day > 0) {
      const jump = chanceFrom(seed + 31 * day)
      state.drift += jump.between(days.low, days.high) * (jump.uniform() < 0.5 ? -1 : 1)
      state.warmth = 0
      state.at += 50_000
      policy.nextDay?.(state.at)
      expected = null
    }
    for (let shot = 0; shot < shots; shot += 1) {
      // chance of its own for every shot: what one policy does leaves the luck of the next shot alone
      const luck = chanceFrom(seed + 104_729 * (1 + shot + 1000 * day))
      const order = luck.uniform()
      const size = (order < (sizes[0]?.share ?? 1) ? sizes[0] : sizes[1])?.size ?? sizes[0]!.size
      const hand = scenario.turns ? Math.floor(shot / scenario.turns) % bar.hands.length : 0
      waitUntil(
        shifted,
        state,
        state.at + (luck.uniform() < 0.75 ? luck.between(45, 120) : luck.between(240, 1000)),
        luck,
      )
      const pulled = pull(shifted, state, size, hand, luck)
      // a shot that is let run longer on purpose has a window that is longer by as much
      const seconds = pulled.seconds * Math.exp(-pulled.longer)
      const hit = landed(seconds, size)
      tally.shots += 1
      if (hit) tally.hits += 1
      else tally.wasted += size.dose
      if (hit && tally.firstHit === 0) tally.firstHit = tally.shots
      const forecast = expected?.foretold?.(size, hand)
      if (forecast) {
        tally.foretold += 1
        tally.chance += forecast.chance
        if (hit) tally.landed += 1
        if (seconds >= forecast.low && seconds <= forecast.high) tally.inside += 1
      }
      expected = policy.after({ ...pulled, size, hand, notch: said, at: state.at, purgeSaid })
      const { move } = expected
      if (move === 0) continue
      tally.moves += 1
      const here = sizes.map((each) => ({
        ...each,
        time: settledTime(shifted, state, each.size, hand, state.notch),
      }))
      if (here.every(({ size: each, time }) => landed(Math.exp(time), each))) tally.needless += 1
      const slip = luck.uniform() < bar.slip ? (luck.uniform() < 0.5 ? 1 : -1) : 0
      const off = (notch: number): number =>
        sizes.reduce((sum, { size: each, share }) => {
          const aim = Math.log(each.opens * each.closes) / 2
          return sum + share * Math.abs(settledTime(shifted, state, each, hand, notch) - aim)
        }, 0)
      if (off(state.notch + move) > off(state.notch) + 1e-9) tally.wrong += 1
      turn(shifted, state, state.notch + move + slip)
      said += move
      purgeSaid = false
      if (luck.uniform() >= bar.purges) continue
      tally.wasted += grind(shifted, state, bar.purge).reduce((sum, part) => sum + part.grams, 0)
      if (luck.uniform() >= bar.purgeSaid) continue
      purgeSaid = true
      policy.purged?.(said, state.at)
    }
  }
  return { ...tally, firstHit: tally.firstHit === 0 ? tally.shots : tally.firstHit }
}
