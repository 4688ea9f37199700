import { describe, expect, test } from 'vitest'
import { stretchTime } from '../../../src/speaking/timeStretch.ts'

const sampleRate = 48_000
const tone = (frequency: number, seconds: number) =>
  Float32Array.from(
    { length: seconds * sampleRate },
    (_, index) => 0.5 * Math.sin((2 * Math.PI * frequency * index) / sampleRate),
  )

/** Frequency of a steady tone, from how often it rises through zero. */
function pitch(samples: Float32Array): number {
  const middle = samples.subarray(Math.floor(samples.length / 4), Math.floor((samples.length * 3) / 4))
  const rises = middle.reduce(
    (sum, sample, index) => sum + (index > 0 && sample >= 0 && (middle[index - 1] ?? 0) < 0 ? 1 : 0),
    0,
  )
  return (rises * sampleRate) / middle.length
}

describe('speaking faster or slower', () => {
  test('leaves normal speed as it is', () => {
    const samples = tone(200, 0.2)
    expect(stretchTime(samples, sampleRate, 1)).toBe(samples)
  })

  test.each([0.5, 0.6, 0.75, 0.8, 1.25, 1.6, 2])('keeps pitch and level at speed %d', (speed) => {
    const samples = tone(180, 1)
    const stretched = stretchTime(samples, sampleRate, speed)
    expect(stretched.length).toBe(Math.round(samples.length / speed))
    expect(Math.abs(pitch(stretched) / 180 - 1)).toBeLessThan(0.03)
    const middle = stretched.subarray(2000, -2000)
    expect(Math.max(...middle)).toBeLessThan(0.55)
    for (let at = 0; at + 480 <= middle.length; at += 480) {
      const energy = middle.subarray(at, at + 480).reduce((sum, sample) => sum + sample * sample, 0) / 480
      expect(Math.sqrt(energy)).toBeGreaterThan(0.2) // no holes: 0.35 is whole
    }
  })

  test('moves what happens to where it belongs', () => {
    const samples = new Float32Array(sampleRate)
    samples.set(tone(300, 0.1), 0.6 * sampleRate)
    const slow = stretchTime(samples, sampleRate, 0.5)
    const onset = slow.findIndex((sample) => Math.abs(sample) > 0.1) / sampleRate
    expect(Math.abs(onset - 1.2)).toBeLessThan(0.03)
  })
})
