/**
 * Feeds everything that reads files, server replies and storage with spoilt inputs: `npm run bench -- fuzz [CASES]`,
 * a million cases unless another number is given. Fails on an exception that is no refusal, and on a case that takes
 * longer than 100 ms each of three times.
 */
import fc from 'fast-check'
import { targets } from './fuzz/targets.ts'

const budget = 100

export default async function bench([given = '1000000']: readonly string[]): Promise<void> {
  const cases = Math.ceil(Number(given) / targets.length)
  const seed = Date.now() % 1_000_000_000
  console.log(`${cases} cases for each of ${targets.length} readers, seed ${seed}`)
  let isGood = true
  for (const { name, run, inputs, isRefusal } of targets) {
    let worst = 0
    let refused = 0
    const time = async (input: unknown) => {
      const start = performance.now()
      try {
        await run(input as never)
      } catch (error) {
        if (!isRefusal(error)) throw error
        refused += 1
      }
      return performance.now() - start
    }
    const begin = performance.now()
    const found = await fc.check(
      fc.asyncProperty(inputs, async (input) => {
        let took = await time(input)
        // the machine may have been busy elsewhere
        if (took > budget) took = Math.min(took, await time(input), await time(input))
        worst = Math.max(worst, took)
        if (took > budget) throw new Error(`took ${took.toFixed(0)} ms`)
      }),
      { numRuns: cases, seed },
    )
    const seconds = (performance.now() - begin) / 1000
    const share = ((100 * refused) / Math.max(1, found.numRuns)).toFixed(0)
    console.log(
      `${name}: ${found.numRuns} cases, ${share} % refused, slowest ${worst.toFixed(1)} ms, ${seconds.toFixed(0)} s`,
    )
    if (!found.failed) continue
    isGood = false
    console.log(
      `  FAULT ${String(found.errorInstance)}\n  with ${fc.stringify(found.counterexample).slice(0, 2000)}`,
    )
  }
  if (!isGood) process.exitCode = 1
}
