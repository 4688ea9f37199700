import { engineRate } from './engineRate.ts'
import { createResampler } from './resampler.ts'
import { suppressorDelay, suppressorFrame, suppressorRate, type Suppressor } from './suppressor.ts'

/** Samples of the engine's sound in one of the suppressor's frames. */
export const voiceFrame = (suppressorFrame * engineRate) / suppressorRate

/** Makes the engine's sound of the microphone's: noise taken out, 16 kHz. */
export interface FrontEnd {
  /** `voice` says how probable speech is in each {@link voiceFrame} samples since the first that this call could not give */
  process(samples: Float32Array): { samples: Float32Array; voice: number[] }
  /** seconds from the first sample given to the moment that output sample `n` belongs to */
  timeOf(n: number): number
}

/** A driver may give a sample that is no number. In the filters it would spoil every sample after it. */
const finite = (samples: Float32Array) =>
  samples.every(Number.isFinite) ? samples : samples.map((sample) => (Number.isFinite(sample) ? sample : 0))

/** @param sampleRate of the microphone, Hz */
export function createFrontEnd(sampleRate: number, suppressor: Suppressor): FrontEnd {
  const before = createResampler(sampleRate, suppressorRate)
  const after = createResampler(suppressorRate, engineRate)
  return {
    process(input) {
      const { samples, voice } = suppressor.process(before.process(finite(input)))
      return { samples: after.process(samples), voice }
    },
    timeOf: (n) => n / engineRate - suppressorDelay,
  }
}
