/**
 * Time of each answer of the coffee computation, against a budget of 5 ms: median and 99th percentile of many
 * calls, in processor time, so that whatever else the machine does is not counted. `npm run bench -- coffee`. The last line is one JSON object.
 */
import {
  advise,
  beginBelief,
  beginDriftMonitor,
  benchNotches,
  carryOver,
  createBench,
  judge,
  nextStep,
  observeShot,
  outlook,
  pullShot,
  standardRecipes,
  steadiness,
  summarise,
  watchDrift,
  type DriftMonitor,
  type GrinderBelief,
} from '../../src/coffee/index.ts'

const budget = 5

function quantile(times: readonly number[], share: number): number {
  const sorted = [...times].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? NaN
}

export default function run(): void {
  const recipe = standardRecipes.double
  let bench = createBench(1)
  let belief: GrinderBelief = beginBelief(0)
  let monitor: DriftMonitor = beginDriftMonitor()
  let notch = 12
  const times: Record<string, number[]> = {}
  const timed = <T>(name: string, answer: () => T): T => {
    const start = process.cpuUsage()
    const value = answer()
    const { user, system } = process.cpuUsage(start)
    ;(times[name] ??= []).push((user + system) / 1000)
    return value
  }
  for (let index = 0; index < 3000; index += 1) {
    const at = 90 * index
    const pulled = timed('pullShot', () => pullShot(bench, { notch, recipe, at }))
    bench = pulled.bench
    const { seconds, looks } = pulled.shot
    belief = timed('observeShot', () => observeShot(belief, { seconds, looks, notch, at, purged: true }))
    const facts = {
      seconds,
      looks,
      window: recipe.window,
      tastes: [],
      steadiness: timed('steadiness', () => steadiness(belief)),
      grind: 'settled',
      handOff: 'running',
    } as const
    const judged = timed('judge', () => judge(facts))
    const { scatterPercent } = timed('summarise', () => summarise(belief))
    const faultChance = belief.last?.faultChance ?? 0
    monitor = timed('watchDrift', () =>
      watchDrift(monitor, { seconds, notch, scatter: scatterPercent / 100, faultChance, mixed: false }),
    ).monitor
    const options = { at: at + 60, notch, largerMoves: index % 2 === 0, notchRange: benchNotches(bench) }
    const advised = timed('advise', () => advise(belief, recipe, options))
    timed('outlook', () => outlook(belief, recipe, options, 1))
    notch += timed('nextStep', () => nextStep(judged, advised)).notches
    timed('carryOver', () => carryOver(belief, 'new day', at))
  }

  const answers = Object.fromEntries(
    Object.entries(times).map(([name, all]) => [
      name,
      { median: Number(quantile(all, 0.5).toFixed(4)), p99: Number(quantile(all, 0.99).toFixed(4)) },
    ]),
  )
  console.log(`milliseconds for one answer, over ${times['advise']?.length} shots; budget ${budget} ms`)
  console.table(answers)
  const slowest = Math.max(...Object.values(answers).map(({ p99 }) => p99))
  const beliefBytes = JSON.stringify(belief).length
  console.log(
    JSON.stringify({ bench: 'coffee', budget, answers, slowest, beliefBytes, met: slowest < budget }),
  )
}
