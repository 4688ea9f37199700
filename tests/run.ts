/**
 * npm test [-- ARGUMENTS]
 *
 * Runs all tests in two lanes at once: the spoken ones, which are mostly idle and must not be kept waiting, and beside
 * them, with less claim to the processor, all others. Prints the time of each test, then the slowest ten, and as the
 * last line the sum. With arguments it is `vitest run` with these.
 */
import { spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { setPriority, tmpdir } from 'node:os'
import { join } from 'node:path'
import type { JsonTestResults } from 'vitest/node'
import { buildOnce } from './harness/buildOnce.ts'
import { findChromium, howToInstall } from './harness/findChromium.ts'

/** A lane that yields to the other, in the units of `nice`. */
const yielding = 10

/** Runs vitest. @returns its exit status */
function vitest(args: readonly string[], nice = 0): Promise<number> {
  const child = spawn('npx', ['vitest', 'run', ...args], { stdio: 'inherit' })
  if (nice > 0 && child.pid !== undefined) setPriority(child.pid, nice)
  return new Promise((resolve, reject) => {
    child.on('error', reject)
    child.on('close', (status) => resolve(status ?? 1))
  })
}

async function everything(): Promise<number> {
  if (findChromium()) await buildOnce()
  else console.warn(howToInstall)
  const folder = mkdtempSync(join(tmpdir(), 'earshot-results-'))
  const lane = (name: string, args: readonly string[], nice: number) =>
    vitest(
      [...args, '--reporter=verbose', '--reporter=json', `--outputFile.json=${join(folder, name)}.json`],
      nice,
    )
  const statuses = await Promise.all([
    lane('spoken', ['--project=spoken'], 0),
    lane('others', ['--project=unit', '--project=browser'], yielding),
  ])
  const results = ['spoken', 'others'].map(
    (name) => JSON.parse(readFileSync(join(folder, `${name}.json`), 'utf8')) as JsonTestResults,
  )
  rmSync(folder, { recursive: true })
  summarise(results)
  return Math.max(...statuses)
}

function summarise(results: readonly JsonTestResults[]): void {
  const files = results.flatMap(({ testResults }) => testResults)
  const slowest = files
    .flatMap(({ name, assertionResults }) =>
      assertionResults.map(({ fullName, duration }) => ({
        name: `${name.split('/tests/').at(-1)}: ${fullName}`,
        seconds: (duration ?? 0) / 1000,
      })),
    )
    .sort((a, b) => b.seconds - a.seconds)
    .slice(0, 10)
  console.log('\nthe slowest ten:')
  for (const { name, seconds } of slowest) console.log(`${seconds.toFixed(1).padStart(7)} s  ${name}`)

  // a file that could not even be loaded counts as one that failed
  const broken = files.filter(
    ({ status, assertionResults }) => status === 'failed' && !assertionResults.length,
  )
  for (const { name, message } of broken) console.error(`${name}: ${message}`)
  const sum = (of: (result: JsonTestResults) => number) => results.reduce((all, one) => all + of(one), 0)
  const skipped = sum(({ numPendingTests }) => numPendingTests)
  console.log(
    `\n${sum(({ numPassedTests }) => numPassedTests)} passed, ${sum(({ numFailedTests }) => numFailedTests) + broken.length} failed${skipped ? `, ${skipped} skipped` : ''}`,
  )
}

const args = process.argv.slice(2)
process.exitCode = args.length > 0 ? await vitest(args) : await everything()
