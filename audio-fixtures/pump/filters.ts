import { sampleRate } from '../wav.ts'
import type { Mode } from './machine.ts'

/** White noise, uniform in -1..1. */
export function noise(length: number, random: () => number): Float32Array {
  return Float32Array.from({ length }, () => 2 * random() - 1)
}

/**
 * Adds what a resonance makes of a sound: a two-pole resonator with its gain at the peak near `mode.gain`
 * (Smith, Introduction to Digital Filters with Audio Applications, 2007).
 */
export function ring(into: Float32Array, excited: Float32Array, mode: Mode): void {
  const turn = (2 * Math.PI * mode.pitch) / sampleRate
  const radius = Math.exp(-turn / (2 * mode.quality))
  const first = 2 * radius * Math.cos(turn)
  const second = -radius * radius
  const gain = mode.gain * (1 - radius) * 2 * Math.sin(turn)
  let [last, before] = [0, 0]
  for (let i = 0; i < excited.length; i++) {
    const now = gain * (excited[i] ?? 0) + first * last + second * before
    before = last
    last = now
    into[i] = (into[i] ?? 0) + now
  }
}

/** Noise with most of its power around a pitch, falling on both sides. Level near 1. */
export function noiseAround(pitch: number, length: number, random: () => number): Float32Array {
  const shaped = new Float32Array(length)
  ring(shaped, noise(length, random), { pitch, quality: 0.8, gain: 1 })
  return atLevelOne(shaped)
}

/** The same sound with a root mean square of 1. */
export function atLevelOne(samples: Float32Array): Float32Array {
  let sum = 0
  for (const sample of samples) sum += sample * sample
  const level = Math.sqrt(sum / Math.max(1, samples.length))
  return level === 0 ? samples : samples.map((sample) => sample / level)
}
