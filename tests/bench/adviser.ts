/**
 * Compares ways of moving the grind over simulated mornings: the adviser under the one-notch house rule, the
 * adviser with larger moves allowed, the plain rule (one notch after every shot that misses the window), and doing
 * nothing. Every policy gets the same benches with the same chance in them and clears the old
 * grounds after each move. They begin each morning knowing nothing, but for one: the adviser that has worked this grinder
 * before, with another coffee, as an adviser mostly has.
 *
 * `npm run bench -- adviser [mornings] [random seed]`. The last line is one JSON object.
 */
import {
  advise,
  beginBelief,
  benchNotches,
  carryOver,
  createBench,
  observeShot,
  pullShot,
  purgeBench,
  standardRecipes,
  typicalTime,
  type Advice,
  type Bench,
  type GrinderBelief,
  type Recipe,
} from '../../src/coffee/index.ts'
import { randomFrom } from '../../src/coffee/random.ts'

const shotsPerMorning = 50
/** a barista gives up on a shot that chokes */
const longestShot = 120

interface Morning {
  readonly bench: Bench
  readonly recipe: Recipe
  readonly start: number
  /** the setting whose typical time is nearest the middle of the window */
  readonly ideal: number
  /** notches from one to the other */
  readonly away: number
  readonly times: readonly number[]
}

/** For a morning: given a shot, how far to move; positive is finer. */
type Policy = (
  morning: Morning,
) => (shot: {
  seconds: number
  looks: ReturnType<typeof pullShot>['shot']['looks']
  notch: number
  at: number
  morning: Morning
}) => number

/** How the adviser's 90 % intervals and chances turn out on benches that do not follow its model. */
const foretold = { shots: 0, inInterval: 0, chances: 0, hits: 0 }

const adviser =
  (largerMoves: boolean, begin: (morning: Morning) => GrinderBelief = () => beginBelief(0)): Policy =>
  (today) => {
    let belief = begin(today)
    let last: Advice | null = null
    return ({ seconds, looks, notch, at, morning: { recipe, bench } }) => {
      if (last) {
        const { outlook } = last
        foretold.shots += 1
        foretold.chances += outlook.chance.inWindow
        if (seconds >= outlook.seconds.low && seconds <= outlook.seconds.high) foretold.inInterval += 1
        if (seconds >= recipe.window.opens && seconds <= recipe.window.closes) foretold.hits += 1
      }
      belief = observeShot(belief, { seconds, looks, notch, at, purged: true })
      const notchRange = benchNotches(bench)
      last = advise(belief, recipe, { at: at + 60, notch, largerMoves, notchRange })
      return last.notches
    }
  }

/**
 * What was learnt on the day before: 25 shots with another coffee, for which the setting that this morning begins with
 * was right. So the grinder is known, and nothing of how far off the morning begins.
 */
function dayBefore({ bench: today, recipe, ideal, start }: Morning): GrinderBelief {
  let bench = createBench((today.random + 1) % 2 ** 32, today.settings)
  let belief = beginBelief(-100_000)
  let notch = ideal - 2
  for (let shot = 0; shot < 25; shot += 1) {
    const at = 285 * shot - 90_000
    const label = notch - ideal + start
    const pulled = pullShot(bench, { notch, recipe, at })
    bench = pulled.bench
    const { seconds, looks } = pulled.shot
    belief = observeShot(belief, { seconds, looks, notch: label, at, purged: true })
    const move = advise(belief, recipe, { at: at + 60, notch: label, largerMoves: false }).notches
    if (move === 0) continue
    notch += move
    bench = purgeBench(bench, { notch, at })
  }
  return carryOver(belief, 'new coffee', 0)
}

const plain: Policy =
  () =>
  ({ seconds, notch, morning: { recipe, bench } }) => {
    const { lowest, highest } = benchNotches(bench)
    if (seconds < recipe.window.opens) return notch < highest ? 1 : 0
    if (seconds > recipe.window.closes) return notch > lowest ? -1 : 0
    return 0
  }

const nothing: Policy = () => () => 0

const policies = {
  oneNotch: adviser(false),
  larger: adviser(true),
  largerKnown: adviser(true, dayBefore),
  plain,
  nothing,
}
type Name = keyof typeof policies

const middle = ({ window }: Recipe): number => Math.log(window.opens * window.closes) / 2
const offCentre = (bench: Bench, notch: number, recipe: Recipe): number =>
  Math.abs(Math.log(typicalTime(bench, notch, recipe)) - middle(recipe))

function morningOf(index: number, seed: number): Morning {
  const random = randomFrom(seed + 7919 * index)
  const between = (low: number, high: number): number => low + (high - low) * random.uniform()
  const bench = createBench(Math.floor(random.uniform() * 2 ** 32), {
    diameterPerNotch: between(0.02, 0.048),
    heatEffect: 0.006 * random.normal(),
    weatherTrend: 0.03 * random.normal(),
    weatherWander: between(0.02, 0.06),
    bedScatter: between(0.02, 0.07),
    doseScatter: between(0.1, 0.3),
    channelChance: between(0.01, 0.06),
    retention: between(2, 6),
    coolingTime: between(500, 1500),
  })
  const recipe = index % 2 === 0 ? standardRecipes.double : standardRecipes.triple
  const { lowest, highest } = benchNotches(bench)
  const notches = Array.from({ length: highest - lowest + 1 }, (_, step) => lowest + step)
  const ideal = notches.reduce((best, notch) =>
    offCentre(bench, notch, recipe) < offCentre(bench, best, recipe) ? notch : best,
  )
  const away = 1 + (Math.floor(index / 2) % 10)
  const side = random.uniform() < 0.5 ? -1 : 1
  const start = ideal + side * away
  const times: number[] = []
  for (let at = 0; times.length < shotsPerMorning; at += 45 - 240 * Math.log(1 - random.uniform()))
    times.push(at)
  return {
    bench,
    recipe,
    ideal,
    start: start < lowest || start > highest ? ideal - side * away : start,
    away,
    times,
  }
}

interface Day {
  firstHit: number
  hits: number
  hitsAfterFirst: number
  moves: number
  needless: number
  wrongWay: number
}

/** One morning under one policy. */
function work(morning: Morning, policy: Policy): Day {
  const { recipe } = morning
  const decide = policy(morning)
  const day: Day = { firstHit: 0, hits: 0, hitsAfterFirst: 0, moves: 0, needless: 0, wrongWay: 0 }
  let { bench, start: notch } = morning
  morning.times.forEach((at, index) => {
    const pulled = pullShot(bench, { notch, recipe, at })
    bench = pulled.bench
    const seconds = Math.min(pulled.shot.seconds, longestShot)
    const hit = seconds >= recipe.window.opens && seconds <= recipe.window.closes
    if (hit) day.hits += 1
    if (hit && day.firstHit === 0) day.firstHit = index + 1
    const move = decide({ seconds, looks: pulled.shot.looks, notch, at, morning })
    if (move === 0) return
    const typical = typicalTime(bench, notch, recipe)
    day.moves += 1
    // the setting was right already: its typical time lay in the window
    if (typical >= recipe.window.opens && typical <= recipe.window.closes) day.needless += 1
    if (offCentre(bench, notch + move, recipe) > offCentre(bench, notch, recipe)) day.wrongWay += 1
    notch += move
    bench = purgeBench(bench, { notch, at })
  })
  if (day.firstHit === 0) day.firstHit = shotsPerMorning
  return day
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length
const rounded = (value: number): number => Math.round(1000 * value) / 1000

export default function run([mornings = '2000', seed = '1']: readonly string[]): void {
  const count = Number(mornings)
  if (!Number.isInteger(count) || count < 20)
    throw new RangeError(`mornings must be a whole number from 20, not ${mornings}`)
  const names = Object.keys(policies) as Name[]
  const days: Record<Name, { day: Day; away: number }[]> = {
    oneNotch: [],
    larger: [],
    largerKnown: [],
    plain: [],
    nothing: [],
  }
  for (let index = 0; index < count; index += 1) {
    const morning = morningOf(index, Number(seed))
    for (const name of names) days[name].push({ day: work(morning, policies[name]), away: morning.away })
  }

  const summary = (name: Name, from = 1, to = 10) => {
    const chosen = days[name].filter(({ away }) => away >= from && away <= to).map(({ day }) => day)
    return {
      shotsToWindow: rounded(mean(chosen.map((day) => day.firstHit))),
      wasted: rounded(mean(chosen.map((day) => shotsPerMorning - day.hits))),
      share: rounded(mean(chosen.map((day) => day.hits / shotsPerMorning))),
      moves: rounded(mean(chosen.map((day) => day.moves))),
      needless: rounded(mean(chosen.map((day) => day.needless))),
      wrongWay: rounded(mean(chosen.map((day) => day.wrongWay))),
    }
  }
  const all = Object.fromEntries(names.map((name) => [name, summary(name)])) as Record<
    Name,
    ReturnType<typeof summary>
  >
  const far = Object.fromEntries(names.map((name) => [name, summary(name, 4)])) as typeof all

  console.log(
    `${count} mornings of ${shotsPerMorning} shots, 1 to 10 notches from the window at the start; means of a morning`,
  )
  console.table(all)
  console.log('shots to the first in the window, by notches away at the start')
  console.table(
    Object.fromEntries(
      Array.from({ length: 10 }, (_, index) => [
        index + 1,
        Object.fromEntries(names.map((name) => [name, summary(name, index + 1, index + 1).shotsToWindow])),
      ]),
    ),
  )
  const calibration = {
    'in the 90 % interval': rounded(foretold.inInterval / foretold.shots),
    'chance to land foretold, mean': rounded(foretold.chances / foretold.shots),
    'landed, of those': rounded(foretold.hits / foretold.shots),
  }
  for (const [name, value] of Object.entries(calibration)) console.log(`${name}: ${value}`)
  const ratio = (top: number, bottom: number): number => rounded(top / bottom)
  const goals = {
    'larger: shots to window from 4 away, of the plain rule (at most 0.5)': ratio(
      far.larger.shotsToWindow,
      far.plain.shotsToWindow,
    ),
    'larger, grinder known: the same (no goal)': ratio(
      far.largerKnown.shotsToWindow,
      far.plain.shotsToWindow,
    ),
    'one notch: needless moves, of the plain rule (at most 0.5)': ratio(
      all.oneNotch.needless,
      all.plain.needless,
    ),
    'larger: needless moves, of the plain rule (at most 0.5)': ratio(all.larger.needless, all.plain.needless),
    'one notch: share in window less the plain rule (at least 0)': rounded(
      all.oneNotch.share - all.plain.share,
    ),
    'larger: share in window less the plain rule (at least 0)': rounded(all.larger.share - all.plain.share),
  }
  for (const [goal, value] of Object.entries(goals)) console.log(`${goal}: ${value}`)
  const met =
    far.larger.shotsToWindow <= 0.5 * far.plain.shotsToWindow &&
    [all.oneNotch, all.larger].every(
      ({ needless, share }) => needless <= 0.5 * all.plain.needless && share >= all.plain.share,
    )
  console.log(
    JSON.stringify({
      bench: 'adviser',
      mornings: count,
      seed: Number(seed),
      all,
      far,
      calibration,
      goals,
      met,
    }),
  )
}
