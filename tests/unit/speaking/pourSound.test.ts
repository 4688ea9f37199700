import { describe, expect, it } from 'vitest'
import { highestFrequency } from '../../../src/speaking/earcons.ts'
import { type Flow, renderPour } from '../../../src/speaking/pourSound.ts'

const rate = 16_000
const flows: readonly Flow[] = ['dripping', 'right', 'gushing']
const sounds = Object.fromEntries(flows.map((flow) => [flow, renderPour(flow, rate)])) as Record<
  Flow,
  Float32Array
>

const decibels = (ratio: number) => 20 * Math.log10(ratio)
const level = (samples: Float32Array) =>
  decibels(Math.sqrt(samples.reduce((sum, sample) => sum + sample ** 2, 0) / samples.length))

/** Level of each hundredth of a second. */
const envelope = (samples: Float32Array) =>
  Array.from({ length: samples.length / (rate / 100) }, (_, at) =>
    level(samples.subarray((at * rate) / 100, ((at + 1) * rate) / 100)),
  )

/** Sudden rises of more than 12 dB within 20 ms, a second: drops that are heard as drops. */
function dropRate(samples: Float32Array): number {
  const levels = envelope(samples)
  const rises = levels.filter((now, at) => {
    const [before, previous] = [levels.at(at - 2) ?? now, levels.at(at - 1) ?? now]
    return now - before > 12 && previous - (levels.at(at - 3) ?? previous) <= 12
  })
  return rises.length / (samples.length / rate)
}

/**
 * Where the middle of the power lies, in hertz: the frequency whose sign changes so often (Rice, 1944: the rate of
 * zero crossings of a noise is twice the root of the second moment of its spectrum).
 */
function middleFrequency(samples: Float32Array): number {
  let crossings = 0
  samples.forEach((sample, at) => {
    if (sample >= 0 !== (samples[at - 1] ?? sample) >= 0) crossings++
  })
  return crossings / 2 / (samples.length / rate)
}

describe('the pour of the practice bench', () => {
  it('is the louder the faster it runs: a gush by 6 dB over a stream, a stream by 6 dB over what lies between drips', () => {
    const quiet = envelope(sounds.dripping).toSorted((one, other) => one - other)
    const betweenDrips = quiet[Math.floor(quiet.length / 2)] ?? 0
    expect(level(sounds.gushing) - level(sounds.right)).toBeGreaterThan(6)
    expect(level(sounds.right) - betweenDrips).toBeGreaterThan(6)
  })

  it('drips three times a second when it is slow, and never when it streams', () => {
    expect(dropRate(sounds.dripping)).toBe(3)
    expect(dropRate(sounds.right)).toBe(0)
    expect(dropRate(sounds.gushing)).toBe(0)
  })

  it('has a stream brighter than a gush by half an octave at least', () => {
    const octaves = Math.log2(middleFrequency(sounds.right) / middleFrequency(sounds.gushing))
    expect(octaves).toBeGreaterThan(0.5)
  })

  it.each(flows)('%s neither clips nor drowns the speech, and repeats without a seam', (flow) => {
    const samples = sounds[flow]
    const peak = Math.max(...samples.map(Math.abs))
    expect(peak).toBeLessThan(0.2)
    const steps = samples.map((sample, at) => Math.abs(sample - (samples.at(at - 1) ?? 0)))
    const seam = steps[0] ?? 0
    expect(seam).toBeLessThanOrEqual(Math.max(...steps.slice(1)))
  })

  it.each(flows)('%s is the same at any rate of the loudspeaker', (flow) => {
    expect(level(renderPour(flow, 48_000)) - level(sounds[flow])).toBeCloseTo(0, 0)
    expect(middleFrequency(sounds[flow])).toBeLessThan(highestFrequency)
  })
})
