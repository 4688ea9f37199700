import { describe, expect, test } from 'vitest'
import { babble, barSound, barSounds } from '../../../audio-fixtures/barNoise.ts'
import { rms } from '../../../audio-fixtures/energy.ts'
import { randomFrom } from '../../../src/coffee/random.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'

/** Power of one frequency in some samples (Goertzel). */
function power(samples: Float32Array, frequency: number): number {
  const turn = (2 * Math.PI * frequency) / sampleRate
  let [real, imaginary] = [0, 0]
  samples.forEach((sample, at) => {
    real += sample * Math.cos(turn * at)
    imaginary += sample * Math.sin(turn * at)
  })
  return (real ** 2 + imaginary ** 2) / samples.length ** 2
}

/** Power in a band, from frequencies 10 Hz apart. */
const band = (samples: Float32Array, from: number, to: number) =>
  Array.from({ length: (to - from) / 10 }, (_, at) => power(samples, from + 10 * at)).reduce(
    (a, b) => a + b,
    0,
  )

describe.each(barSounds)('%s', (sound) => {
  test('is as long as asked, at unit level, and the same each time', () => {
    const made = barSound(sound, 1.5, randomFrom(3).uniform)
    expect(made).toHaveLength(1.5 * sampleRate)
    expect(rms(made)).toBeCloseTo(1, 5)
    expect(barSound(sound, 1.5, randomFrom(3).uniform)).toEqual(made)
  })
})

describe('a bar', () => {
  test('has a pump of 50 strokes a second', () => {
    const pump = barSound('pump', 1, randomFrom(1).uniform)
    expect(power(pump, 50)).toBeGreaterThan(20 * power(pump, 75))
    expect(power(pump, 100)).toBeGreaterThan(20 * power(pump, 75))
  })

  test('has steam that hisses and a room that rumbles', () => {
    const steam = barSound('steam', 0.5, randomFrom(1).uniform)
    expect(band(steam, 2000, 7000)).toBeGreaterThan(10 * band(steam, 100, 1000))
    const room = barSound('room', 0.5, randomFrom(1).uniform)
    expect(band(room, 20, 500)).toBeGreaterThan(2 * band(room, 1000, 7000))
  })

  test('has people who cannot be understood', () => {
    const clip = Float32Array.from({ length: 4000 }, (_, at) => at / 4000)
    const made = babble([clip], 1, randomFrom(1).uniform)
    expect(made).toHaveLength(sampleRate)
    expect(rms(made)).toBeCloseTo(1, 5)
    expect(() => babble([], 1, randomFrom(1).uniform)).toThrow('at least one clip')
  })
})
