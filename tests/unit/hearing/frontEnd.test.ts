import { expect, it } from 'vitest'
import { createFrontEnd } from '../../../src/hearing/frontEnd.ts'
import type { Suppressor } from '../../../src/hearing/suppressor.ts'

/** Lets everything through, so that only the filters are between a sample and what comes out. */
const through = {
  process: (samples: Float32Array) => ({ samples, voice: [] }),
} as unknown as Suppressor

it('goes on hearing after a sample that is no number', () => {
  const frontEnd = createFrontEnd(44_100, through)
  const sound = () => Float32Array.from({ length: 4410 }, (_, i) => Math.sin(i / 10) / 2)
  const spoilt = sound()
  spoilt[100] = NaN
  spoilt[200] = Infinity
  const out = [spoilt, sound(), sound()].map((each) => frontEnd.process(each).samples)
  for (const samples of out) expect(samples.every(Number.isFinite)).toBe(true)
  expect(Math.max(...(out[2] ?? []))).toBeGreaterThan(0.4)
})
