/** Root mean square of the sounding part of every recording, full scale 1: -20 dB. */
const targetLevel = 0.1

/** Highest sample, so that speech, an earcon and the simulated pour fit below full scale together. */
const highestPeak = 0.6

/** A stretch of 5 ms this far below the loudest is silence: 40 dB. */
const silenceRatio = 0.01

const stretchSeconds = 0.005

/** Silence that stays before, in seconds: little, since a mark must be heard at its time. */
const keptBefore = 0.005

/** Silence that stays after, in seconds: the next phrase of a sentence follows at once. */
const keptAfter = 0.03

/** Fade at either end, in seconds. */
const fadeSeconds = 0.005

/**
 * Makes a recording fit the others: silence at the ends cut off, the same loudness as all, no clipping, ends faded.
 * @throws {Error} for silence
 */
export function finishRecording(samples: Float32Array, sampleRate: number): Float32Array {
  const step = Math.round(stretchSeconds * sampleRate)
  const levels = Array.from({ length: Math.ceil(samples.length / step) }, (_, index) =>
    level(samples.subarray(index * step, (index + 1) * step)),
  )
  const threshold = Math.max(...levels) * silenceRatio
  if (!(threshold > 0)) throw new Error('the recording is silent')
  const isSounding = (value: number) => value > threshold
  const from = Math.max(0, levels.findIndex(isSounding) * step - Math.round(keptBefore * sampleRate))
  const to = Math.min(
    samples.length,
    (levels.findLastIndex(isSounding) + 1) * step + Math.round(keptAfter * sampleRate),
  )
  const gain = levelGain(samples, levels.filter(isSounding))
  const fade = Math.round(fadeSeconds * sampleRate)
  return samples.slice(from, to).map((sample, index) => {
    const edge = Math.min(index, to - from - 1 - index, fade) / fade
    return sample * gain * edge
  })
}

/** Root mean square. */
export function level(samples: Float32Array): number {
  return Math.sqrt(samples.reduce((sum, sample) => sum + sample * sample, 0) / Math.max(1, samples.length))
}

function levelGain(samples: Float32Array, sounding: readonly number[]): number {
  const active = Math.sqrt(sounding.reduce((sum, value) => sum + value * value, 0) / sounding.length)
  const peak = samples.reduce((highest, sample) => Math.max(highest, Math.abs(sample)), 0)
  return Math.min(targetLevel / active, highestPeak / peak)
}
