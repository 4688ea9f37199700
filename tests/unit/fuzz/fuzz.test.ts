import fc from 'fast-check'
import { expect, test } from 'vitest'
import { targets } from '../../bench/fuzz/targets.ts'

// the long run is `npm run bench -- fuzz`
test.each(targets)(
  'spoilt $name are read or refused, and nothing else',
  async ({ run, inputs, isRefusal }) => {
    let read = 0
    await fc.assert(
      fc.asyncProperty(inputs, async (input) => {
        read += 1
        try {
          await run(input as never)
        } catch (error) {
          if (!isRefusal(error)) throw error
        }
      }),
      { numRuns: 150 },
    )
    expect(read).toBeGreaterThanOrEqual(150)
  },
)
