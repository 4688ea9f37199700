import { describe, expect, it } from 'vitest'
import { createResampler } from '../../../src/hearing/resampler.ts'

const seconds = 0.5

function sine(frequency: number, rate: number): Float32Array {
  return Float32Array.from({ length: rate * seconds }, (_, n) =>
    Math.sin((2 * Math.PI * frequency * n) / rate),
  )
}

/** Fed in pieces of 20 ms, as the microphone does. */
function resample(input: Float32Array, from: number, to: number): Float32Array {
  const resampler = createResampler(from, to)
  const piece = Math.round(from / 50)
  const out: number[] = []
  for (let i = 0; i < input.length; i += piece) out.push(...resampler.process(input.subarray(i, i + piece)))
  return Float32Array.from(out)
}

/** Decibels of a signal's middle, relative to a sine of amplitude 1. */
function level(samples: Float32Array): number {
  const middle = samples.subarray(samples.length / 4, (3 * samples.length) / 4)
  return 10 * Math.log10((2 * middle.reduce((sum, x) => sum + x * x, 0)) / middle.length + 1e-20)
}

describe.each([
  [48000, 16000],
  [44100, 48000],
  [44100, 16000],
  [32000, 48000],
  [96000, 48000],
])('from %i Hz to %i Hz', (from, to) => {
  it.each([100, 1000, 4000, 6500])('passes %i Hz unchanged in level and in time', (frequency) => {
    const output = resample(sine(frequency, from), from, to)
    expect(Math.abs(level(output))).toBeLessThan(0.1)
    const expected = sine(frequency, to)
    for (let n = 1000; n < output.length - 1000; n++) {
      expect(Math.abs((output[n] ?? 0) - (expected[n] ?? 0))).toBeLessThan(0.01)
    }
  })

  it('lets nothing above the new Nyquist frequency fold back', () => {
    for (let frequency = (1.03 * to) / 2; frequency < from / 2; frequency += 1100) {
      expect(level(resample(sine(frequency, from), from, to))).toBeLessThan(-70)
    }
  })

  it('gives the same however the input is cut', () => {
    const input = sine(700, from)
    const whole = createResampler(from, to).process(input)
    expect(resample(input, from, to)).toEqual(whole)
  })
})

it('hands samples through when the rates are equal', () => {
  const input = sine(440, 48000)
  expect(createResampler(48000, 48000).process(input)).toBe(input)
})

it.each([0, -1, 44100.5, Number.NaN])('refuses a rate of %d Hz', (rate) => {
  expect(() => createResampler(rate, 16000)).toThrow(/sample rate/)
})
