import { describe, expect, test } from 'vitest'
import { earcons } from '../../../src/messages/cue.ts'
import {
  clockVoices,
  earconLevel,
  earconPattern,
  highestFrequency,
  renderEarcon,
} from '../../../src/speaking/earcons.ts'

const sampleRate = 48_000
const all = earcons.flatMap((earcon) =>
  Array.from({ length: earcon === 'warning' || earcon === 'limit' ? clockVoices : 1 }, (_, index) => ({
    name: `${earcon} ${index + 1}`,
    samples: renderEarcon(earconPattern(earcon, index + 1), sampleRate),
  })),
)

/** Power at each frequency: a fast Fourier transform (Cooley and Tukey, 1965), zeros added up to a power of two. */
function spectrum(samples: Float32Array): { frequency: number; power: number }[] {
  const size = 2 ** Math.ceil(Math.log2(samples.length))
  const transform = (real: number[], imaginary: number[]): [number[], number[]] => {
    const half = real.length / 2
    if (half < 1) return [real, imaginary]
    const pick = (values: number[], parity: number) => values.filter((_, index) => index % 2 === parity)
    const [er, ei] = transform(pick(real, 0), pick(imaginary, 0))
    const [or, oi] = transform(pick(real, 1), pick(imaginary, 1))
    const [outR, outI] = [new Array<number>(2 * half), new Array<number>(2 * half)]
    for (let k = 0; k < half; k++) {
      const [cos, sin] = [Math.cos((Math.PI * k) / half), -Math.sin((Math.PI * k) / half)]
      const [tr, ti] = [cos * (or[k] ?? 0) - sin * (oi[k] ?? 0), sin * (or[k] ?? 0) + cos * (oi[k] ?? 0)]
      outR[k] = (er[k] ?? 0) + tr
      outI[k] = (ei[k] ?? 0) + ti
      outR[k + half] = (er[k] ?? 0) - tr
      outI[k + half] = (ei[k] ?? 0) - ti
    }
    return [outR, outI]
  }
  const [real, imaginary] = transform(
    [...samples, ...new Array<number>(size - samples.length).fill(0)],
    new Array<number>(size).fill(0),
  )
  return Array.from({ length: size / 2 }, (_, k) => ({
    frequency: (k * sampleRate) / size,
    power: (real[k] ?? 0) ** 2 + (imaginary[k] ?? 0) ** 2,
  }))
}

test('the transform finds a tone of known frequency', () => {
  const tone = Float32Array.from({ length: 4800 }, (_, index) =>
    Math.sin((2 * Math.PI * 3000 * index) / sampleRate),
  )
  const loudest = spectrum(tone).reduce((best, line) => (line.power > best.power ? line : best))
  expect(loudest.frequency).toBeCloseTo(3000, -1)
})

describe.each(all)('$name', ({ samples }) => {
  test('has all its energy at or below 2.5 kHz, sidebands of its edges down by 50 dB', () => {
    const lines = spectrum(samples)
    const sum = (keep: (frequency: number) => boolean) =>
      lines.reduce((total, { frequency, power }) => (keep(frequency) ? total + power : total), 0)
    const above = sum((frequency) => frequency > highestFrequency) / sum(() => true)
    expect(10 * Math.log10(above)).toBeLessThan(-50)
  })

  test('neither clips nor clicks', () => {
    const peak = Math.max(...samples.map(Math.abs))
    expect(peak).toBeLessThan(earconLevel * 1.0001)
    expect(peak).toBeGreaterThan(earconLevel / 2)
    expect(Math.abs(samples[0] ?? 1)).toBeLessThan(0.001)
    expect(Math.abs(samples.at(-1) ?? 1)).toBeLessThan(0.01)
  })
})

/** Lengths of sound and silence in turn, in seconds, from loudness alone: what is left when pitch is taken away. */
function rhythm(samples: Float32Array): number[] {
  const step = sampleRate / 200
  const isOn = Array.from({ length: Math.ceil(samples.length / step) }, (_, index) =>
    samples.subarray(index * step, (index + 1) * step).some((sample) => Math.abs(sample) > earconLevel / 4),
  )
  const lengths: number[] = []
  isOn.forEach((on, index) => {
    if (index === 0 || on !== isOn[index - 1]) lengths.push(0)
    lengths[lengths.length - 1] = (lengths.at(-1) ?? 0) + step / sampleRate
  })
  return lengths
}

describe('told apart without pitch', () => {
  /**
   * Two rhythms differ when their beats differ in number, or one beat or pause is at least 1.6 times as long as the
   * other's. A listener notices a change of 10 to 20 % in the length of a short sound (common in the literature on
   * time discrimination; from memory), so this is three times what can just be heard.
   */
  const differ = (one: number[], other: number[]) =>
    one.length !== other.length ||
    one.some((length, index) => Math.max(length / (other[index] ?? 0), (other[index] ?? 0) / length) >= 1.6)
  const pairs = all.flatMap((one, index) => all.slice(index + 1).map((other) => ({ one, other })))

  test.each(pairs)('$one.name and $other.name', ({ one, other }) => {
    expect(differ(rhythm(one.samples), rhythm(other.samples))).toBe(true)
  })

  test('the measure sees no difference between two pitches of one rhythm', () => {
    const pattern = earconPattern('warning', 2)
    const [low, high] = [400, 900].map((pitch) => rhythm(renderEarcon({ ...pattern, pitch }, sampleRate)))
    expect(differ(low ?? [], high ?? [])).toBe(false)
  })
})

test('the clocks also differ in pitch, by a fifth at least', () => {
  for (const earcon of ['warning', 'limit'] as const) {
    const pitches = [1, 2, 3].map((voice) => earconPattern(earcon, voice).pitch)
    expect((pitches[1] ?? 0) / (pitches[0] ?? 1)).toBeGreaterThan(1.3)
    expect((pitches[2] ?? 0) / (pitches[1] ?? 1)).toBeGreaterThan(1.3)
  }
  expect(earconPattern('limit', 7)).toEqual(earconPattern('limit', 3))
})

test('a warning is over before its next beat a quarter of a second later', () => {
  for (const voice of [1, 2, 3])
    expect(renderEarcon(earconPattern('warning', voice), sampleRate).length / sampleRate).toBeLessThan(0.25)
})
