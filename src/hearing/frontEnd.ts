import { engineRate } from './engine.ts'
import { createResampler } from './resampler.ts'
import { suppressorDelay, suppressorRate, type Suppressor } from './suppressor.ts'

/** Makes the engine's sound of the microphone's: noise taken out, 16 kHz. */
export interface FrontEnd {
  process(samples: Float32Array): Float32Array
  /** seconds from the first sample given to the moment that output sample `n` belongs to */
  timeOf(n: number): number
}

/**
 * @param sampleRate of the microphone, Hz
 * @param suppressor null: no suppression
 */
export function createFrontEnd(sampleRate: number, suppressor: Suppressor | null): FrontEnd {
  if (suppressor === null) {
    const resampler = createResampler(sampleRate, engineRate)
    return { process: (samples) => resampler.process(samples), timeOf: (n) => n / engineRate }
  }
  const before = createResampler(sampleRate, suppressorRate)
  const after = createResampler(suppressorRate, engineRate)
  return {
    process: (samples) => after.process(suppressor.process(before.process(samples))),
    timeOf: (n) => n / engineRate - suppressorDelay,
  }
}
