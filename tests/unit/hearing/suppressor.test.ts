import { beforeAll, describe, expect, it, vi } from 'vitest'
import { createSuppressor, suppressorDelay, suppressorRate } from '../../../src/hearing/suppressor.ts'

// the package looks for a window or a worker before it loads its WebAssembly
beforeAll(() => void vi.stubGlobal('window', globalThis))

const random = generator(1)
const noise = Float32Array.from({ length: suppressorRate }, () => 0.1 * (random() - 0.5))

/** Lehmer's generator, so that the noise is the same in every run. */
function generator(start: number): () => number {
  let state = start
  return () => (state = (state * 48271) % 2147483647) / 2147483647
}

function energy(samples: Float32Array): number {
  return samples.reduce((sum, x) => sum + x * x, 0)
}

async function suppress(input: Float32Array, dryShare: number, piece = input.length): Promise<Float32Array> {
  const suppressor = await createSuppressor(dryShare)
  const out: number[] = []
  for (let i = 0; i < input.length; i += piece)
    out.push(...suppressor.process(input.subarray(i, i + piece)).samples)
  suppressor.close()
  return Float32Array.from(out)
}

describe('suppression', () => {
  it('takes steady noise down by 10 dB at least once it has settled', async () => {
    const output = await suppress(noise, 0)
    const half = output.length / 2
    expect(energy(output.subarray(half))).toBeLessThan(energy(noise.subarray(half)) / 10)
  })

  it('with all of the dry signal kept only delays', async () => {
    const output = await suppress(noise, 1)
    const delay = suppressorDelay * suppressorRate
    expect(output.subarray(delay)).toEqual(noise.subarray(0, output.length - delay))
  })

  it('gives the same however the input is cut', async () => {
    expect(await suppress(noise, 0.2, 700)).toEqual(await suppress(noise, 0.2))
  })

  it.each([-0.1, 1.1, Number.NaN])('refuses a dry share of %d', async (share) => {
    await expect(createSuppressor(share)).rejects.toThrow(/dry share/)
  })
})
