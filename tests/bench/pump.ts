/**
 * How well the pump is heard: days at a bar from `audio-fixtures/pump`, each with five shots that are timed by word and
 * five that are not. `npm run bench -- pump [--days N] [--held-out] [--levels -6,-12] [--from N]`.
 *
 * Goals, for pumps at the levels of a bar (0 to -18 dB against speech) with speech 9 dB above the noise: errors of
 * onset and end 0.1 s in the middle and 0.4 s at 95 %; under 2 % missed; under 0.5 false starts an hour of grinder,
 * steam, tap and talk; 0.02 s of the processor a second; ready after five shots in 90 % of rooms.
 */
import { parseArgs } from 'node:util'
import { hearDay, isShotLong, type DayResult } from './pump/day.ts'
import { quantile } from './hearing/score.ts'

const allLevels = [0, -6, -12, -18, -24, -30]
/** The level down to which the goals are meant. */
const goalLevel = -18

export default async function bench(args: readonly string[]): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      days: { type: 'string', default: '24' },
      from: { type: 'string', default: '0' },
      'held-out': { type: 'boolean', default: false },
      levels: { type: 'string' },
    },
  })
  const levels = values.levels?.split(',').map(Number) ?? allLevels
  const results: DayResult[] = []
  const from = Number(values.from)
  for (let n = from; n < from + Number(values.days); n++) {
    const level = levels[n % levels.length] ?? 0
    const result = await hearDay(n, level, values['held-out'])
    results.push(result)
    console.log(`${n} ${result.name}, ${level} dB: ${told(result)}`)
  }
  for (const level of levels) {
    const own = results.filter((result) => result.level === level)
    if (own.length > 0) console.log(`${level} dB: ${summary(own)}`)
  }
  const meant = results.filter(({ level }) => level >= goalLevel)
  if (meant.length > 0) console.log(`all from ${goalLevel} dB up: ${summary(meant)}`)
}

function told({ isReady, knowledge, errors, falseRuns }: DayResult): string {
  const shots = errors
    .map((error) => (error ? `${error.onset.toFixed(2)}/${error.end.toFixed(2)}` : 'missed'))
    .join(' ')
  const wrong = falseRuns.map(
    ({ seconds, what }) => `${seconds.toFixed(1)} s of ${what.join(' and ') || 'nothing'}`,
  )
  return `${isReady ? 'ready' : 'not ready'} (${knowledge.right} of ${knowledge.shots}), ${shots}${wrong.length > 0 ? `; false: ${wrong.join(', ')}` : ''}`
}

/** Errors are of days on which it said that it was ready: before, it goes by words. */
function summary(results: readonly DayResult[]): string {
  const ready = results.filter(({ isReady }) => isReady)
  const errors = ready.flatMap((result) => result.errors)
  const heard = errors.flatMap((error) => (error ? [error] : []))
  const off = (name: 'onset' | 'end') => {
    const sizes = heard.map((error) => Math.abs(error[name]))
    return `${name} ${(quantile(sizes, 0.5) ?? NaN).toFixed(3)} s, 95 % ${(quantile(sizes, 0.95) ?? NaN).toFixed(3)} s`
  }
  const hours = sum(ready.map((result) => result.hours))
  const falseRuns = ready.flatMap((result) => result.falseRuns)
  const machine = (run: { what: readonly string[] }) => run.what.includes('second machine')
  const rate = (count: number) => `${(count / Math.max(hours, 1e-9)).toFixed(1)} an hour`
  const others = falseRuns.filter((run) => !machine(run))
  return [
    `ready on ${ready.length} of ${results.length} days`,
    off('onset'),
    off('end'),
    `${errors.length - heard.length} of ${errors.length} shots missed`,
    `false runs ${rate(others.length)}, as long as a shot ${rate(others.filter(isShotLong).length)}, of a second machine ${rate(falseRuns.filter(machine).length)} (${hours.toFixed(2)} hours)`,
    `processor ${mean(results.map((result) => result.listening))} a second, with lessons ${mean(results.map((result) => result.learning))}`,
  ].join('; ')
}

const sum = (numbers: readonly number[]): number => numbers.reduce((total, one) => total + one, 0)
const mean = (numbers: readonly number[]): string => (sum(numbers) / numbers.length).toFixed(4)
