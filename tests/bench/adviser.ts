/**
 * Compares the adviser, as the barista hears it, with other ways of moving the grind over simulated mornings in bars that do not
 * follow its model (`adviser/scenarios.ts`): the plain rule, two misses in a row, a proportional rule, an
 * exponentially weighted controller with a dead band, and the limit that knows every parameter. Every policy gets
 * the same bars, orders and luck, and knows nothing to begin with.
 *
 * `npm run bench -- adviser [mornings a scenario] [word in the scenario's name]`. The last line is one JSON object.
 */
import { work, type Tally } from './adviser/mornings.ts'
import { policies, rivals, type PolicyName } from './adviser/policies.ts'
import { scenarios, type Scenario } from './adviser/scenarios.ts'

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length

function errorOf(values: readonly number[]): number {
  const middle = mean(values)
  return Math.sqrt(
    values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1) / values.length,
  )
}

const rounded = (value: number, digits = 1): number => Number(value.toFixed(digits))
const share = ({ hits, shots }: Tally): number => (100 * hits) / shots

/** All figures of one policy in one scenario, means of a morning with standard errors. */
function figuresOf(tallies: readonly Tally[]) {
  const of = (value: (tally: Tally) => number, digits = 2) => rounded(mean(tallies.map(value)), digits)
  const sum = (value: (tally: Tally) => number) => tallies.reduce((total, tally) => total + value(tally), 0)
  const foretold = sum((tally) => tally.foretold)
  return {
    share: of(share, 1),
    shareError: rounded(errorOf(tallies.map(share)), 2),
    firstHit: of((tally) => tally.firstHit),
    firstHitError: rounded(errorOf(tallies.map((tally) => tally.firstHit)), 2),
    moves: of((tally) => tally.moves),
    needless: of((tally) => tally.needless),
    needlessError: rounded(errorOf(tallies.map((tally) => tally.needless)), 2),
    wrong: of((tally) => tally.wrong),
    wasted: of((tally) => tally.wasted, 0),
    ...(foretold > 0 && {
      inside: rounded((100 * sum((tally) => tally.inside)) / foretold),
      chanceSaid: rounded((100 * sum((tally) => tally.chance)) / foretold),
      landed: rounded((100 * sum((tally) => tally.landed)) / foretold),
    }),
  }
}
type Figures = ReturnType<typeof figuresOf>

const names = Object.keys(policies) as PolicyName[]

function runScenario(scenario: Scenario, mornings: number) {
  const count = scenario.days ? Math.max(10, Math.round(mornings / scenario.days.count)) : mornings
  const tallies = Object.fromEntries(
    names.map((name) => [name, Array.from({ length: count }, (_, index) => work(scenario, name, index))]),
  ) as unknown as Record<PolicyName, Tally[]>
  const figures = Object.fromEntries(names.map((name) => [name, figuresOf(tallies[name])])) as Record<
    PolicyName,
    Figures
  >
  const best = rivals.reduce(
    (most, name) => (figures[name].share > figures[most].share ? name : most),
    rivals[0],
  )
  const lead = tallies.spoken.map((tally, index) => share(tally) - share(tallies[best][index] ?? tally))
  return { figures, best, lead: rounded(mean(lead)), leadError: rounded(errorOf(lead), 2) }
}

export default function run([mornings = '60', word = '']: readonly string[]): void {
  const count = Number(mornings)
  if (!Number.isInteger(count) || count < 10)
    throw new RangeError(`mornings must be a whole number from 10, not ${mornings}`)
  const chosen = scenarios.filter(({ name }) => name.includes(word))
  const results = chosen.map((scenario) => ({ name: scenario.name, ...runScenario(scenario, count) }))

  const columns = (value: (figures: Figures) => number | undefined) =>
    Object.fromEntries(
      results.map(({ name, figures }) => [
        name,
        Object.fromEntries(names.map((policy) => [policy, value(figures[policy])])),
      ]),
    )
  console.log(`${count} mornings a scenario; means of a morning of 50 shots, or of a week`)
  console.log('share of the shots in the window, %; lead of what is spoken over the best rival')
  console.table(
    Object.fromEntries(
      results.map(({ name, figures, best, lead, leadError }) => [
        name,
        {
          ...Object.fromEntries(names.map((policy) => [policy, figures[policy].share])),
          error: figures.spoken.shareError,
          best,
          lead,
          leadError,
        },
      ]),
    ),
  )
  console.log('shots to the first in the window')
  console.table(columns(({ firstHit }) => firstHit))
  console.log('moves')
  console.table(columns(({ moves }) => moves))
  console.log('needless moves: the settled time was in the window')
  console.table(columns(({ needless }) => needless))
  console.log('moves the wrong way')
  console.table(columns(({ wrong }) => wrong))
  console.log('coffee wasted, grams')
  console.table(columns(({ wasted }) => wasted))
  console.log('as spoken: times in the 90 % interval, chance said and landed, %')
  console.table(
    Object.fromEntries(
      results.map(({ name, figures: { spoken } }) => [
        name,
        { inside: spoken.inside, said: spoken.chanceSaid, landed: spoken.landed },
      ]),
    ),
  )

  const regret = (policy: PolicyName): number =>
    mean(results.map(({ figures }) => figures.limit.share - figures[policy].share))
  const bestRegret = mean(results.map(({ figures, best }) => figures.limit.share - figures[best].share))
  const sum = (policy: PolicyName, value: (figures: Figures) => number): number =>
    results.reduce((total, { figures }) => total + value(figures[policy]), 0)
  const goals = {
    'scenarios in which what is spoken is below the best rival by more than a standard error': results
      .filter(({ lead, leadError }) => lead < -leadError)
      .map(({ name }) => name),
    'regret against the limit, points: as spoken': rounded(regret('spoken')),
    'regret of the best rival in each scenario': rounded(bestRegret),
    ...Object.fromEntries(rivals.map((name) => [`regret of ${name}`, rounded(regret(name))])),
    'needless moves of the proportional rule (at most 0.4)': rounded(
      sum('spoken', ({ needless }) => needless) / sum('proportional', ({ needless }) => needless),
      2,
    ),
    'scenarios with coverage outside 88 to 92 %': results
      .filter(({ figures: { spoken } }) => Math.abs((spoken.inside ?? 90) - 90) > 2)
      .map(({ name }) => name),
    'scenarios in which the chance is off by more than 3 points': results
      .filter(({ figures: { spoken } }) => Math.abs((spoken.chanceSaid ?? 0) - (spoken.landed ?? 0)) > 3)
      .map(({ name }) => name),
  }
  for (const [goal, value] of Object.entries(goals))
    console.log(
      `${goal}: ${Array.isArray(value) ? (value.length === 0 ? 'none' : value.join('; ')) : String(value)}`,
    )
  console.log(JSON.stringify({ bench: 'adviser', mornings: count, results, goals }))
}
