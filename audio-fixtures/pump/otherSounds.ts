import { barSound } from '../barNoise.ts'
import { sampleRate } from '../wav.ts'
import { atLevelOne, noise, noiseAround, ring } from './filters.ts'

/** What else is heard at a bar and is no pump. Each has a root mean square of 1. */
export const otherSounds = ['grinder', 'steam', 'tap', 'dishes', 'music', 'fridge'] as const
export type OtherSound = (typeof otherSounds)[number]

type Random = () => number

/** Makes a sound of a length in seconds; the same random source gives the same sound. */
export function otherSound(sound: OtherSound, seconds: number, random: Random): Float32Array {
  const length = Math.round(seconds * sampleRate)
  switch (sound) {
    case 'grinder':
    case 'steam':
    case 'dishes':
      return barSound(sound, seconds, random)
    case 'tap':
      return atLevelOne(tap(length, random))
    case 'music':
      return atLevelOne(music(length, random))
    case 'fridge':
      return atLevelOne(fridge(length, random))
  }
}

/** Water into a basin: a jet's broad noise, and bubbles, each a short falling tone (Minnaert's resonance, 1933). */
function tap(length: number, random: Random): Float32Array {
  const jet = noiseAround(1800 + 1500 * random(), length, random)
  const bubbles = new Float32Array(length)
  for (let at = 0; at < length; at += -Math.log(1 - random()) * 0.02 * sampleRate) {
    const pitch = 600 + 3000 * random()
    const fading = 0.005 + 0.02 * random()
    const start = Math.floor(at)
    for (let i = 0; i < 4 * fading * sampleRate && start + i < length; i++) {
      const t = i / sampleRate
      bubbles[start + i] =
        (bubbles[start + i] ?? 0) + Math.exp(-t / fading) * Math.sin(2 * Math.PI * pitch * t * (1 + 2 * t))
    }
  }
  const wet = atLevelOne(bubbles)
  return jet.map((sample, i) => sample + 0.7 * (wet[i] ?? 0))
}

/** Chords, a bass and a drum, at a tempo of its own. */
function music(length: number, random: Random): Float32Array {
  const sound = new Float32Array(length)
  const beat = (60 / (80 + 60 * random())) * sampleRate
  const key = 110 * 2 ** (Math.floor(12 * random()) / 12)
  const steps = [0, 2, 4, 5, 7, 9, 11]
  const pitchOf = (step: number) => key * 2 ** ((steps[step % 7] ?? 0) / 12 + Math.floor(step / 7))
  for (let bar = 0; bar * 4 * beat < length; bar++) {
    const root = Math.floor(7 * random())
    for (const third of [0, 2, 4, 7])
      note(sound, Math.round(bar * 4 * beat), 4 * beat, 2 * pitchOf(root + third), 0.25, random)
    for (let at = 0; at < 4; at++) {
      note(sound, Math.round((bar * 4 + at) * beat), 0.9 * beat, pitchOf(root) / 2, 0.5, random)
      drum(sound, Math.round((bar * 4 + at) * beat), random)
    }
  }
  return sound
}

function note(
  sound: Float32Array,
  start: number,
  length: number,
  pitch: number,
  gain: number,
  random: Random,
) {
  const bright = 2 + Math.floor(5 * random())
  for (let i = 0; i < length && start + i < sound.length; i++) {
    const t = i / sampleRate
    const swell = Math.min(1, i / (0.02 * sampleRate), (length - i) / (0.05 * sampleRate))
    let sum = 0
    for (let harmonic = 1; harmonic <= bright; harmonic++)
      sum += Math.sin(2 * Math.PI * pitch * harmonic * t) / harmonic
    sound[start + i] = (sound[start + i] ?? 0) + gain * swell * Math.exp(-t) * sum
  }
}

function drum(sound: Float32Array, start: number, random: Random) {
  for (let i = 0; i < 0.12 * sampleRate && start + i < sound.length; i++) {
    const t = i / sampleRate
    sound[start + i] =
      (sound[start + i] ?? 0) +
      Math.exp(-t / 0.03) * (Math.sin(2 * Math.PI * 70 * t) + 0.5 * (2 * random() - 1))
  }
}

/** A compressor under the counter: hums at the mains' harmonics and never changes. The nastiest neighbour of a pump. */
function fridge(length: number, random: Random): Float32Array {
  const sound = new Float32Array(length)
  const mains = random() < 0.5 ? 50 : 60
  const turn = (2 * Math.PI * mains) / sampleRate
  const weights = Array.from({ length: 8 }, () => random() / 2)
  const rattle = new Float32Array(length)
  ring(rattle, noise(length, random), { pitch: 200 + 300 * random(), quality: 5, gain: 0.5 })
  for (let i = 0; i < length; i++) {
    let sum = rattle[i] ?? 0
    weights.forEach((weight, at) => (sum += (weight * Math.sin(turn * (at + 1) * i + at * at)) / (at + 1)))
    sound[i] = sum
  }
  return sound
}
