import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { babble, barSound, barSounds } from '../../../audio-fixtures/barNoise.ts'
import { clipsOf } from '../../../audio-fixtures/clips.ts'
import { rms } from '../../../audio-fixtures/energy.ts'
import { decodeOpus } from '../../../audio-fixtures/opus.ts'
import { randomFrom } from '../../../src/coffee/random.ts'
import { voices } from '../../../audio-fixtures/voices.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { energySpan } from './corpus.ts'
import { impulseResponse, inRoom, smallBar } from './room.ts'

/** How a recording is made to sound. */
export interface Condition {
  name: string
  /** speech above noise, dB; null: no noise but the microphone's own */
  ratio: number | null
  room: boolean
  /** level of the speech, dB below full scale */
  level: number
}

const usualLevel = -26

export const conditions: readonly Condition[] = [
  { name: 'clean', ratio: null, room: false, level: usualLevel },
  { name: '15 dB', ratio: 15, room: false, level: usualLevel },
  { name: '9 dB', ratio: 9, room: false, level: usualLevel },
  { name: '3 dB', ratio: 3, room: false, level: usualLevel },
  { name: 'room', ratio: null, room: true, level: usualLevel },
  { name: 'room 15 dB', ratio: 15, room: true, level: usualLevel },
  // also what an echo canceller may leave of the tool's own speech
  { name: 'quiet', ratio: null, room: false, level: usualLevel - 20 },
]

/** Seconds of noise before and after the speech. */
export const leadIn = 0.7
const leadOut = 1.5
/** the microphone's own hiss, dB below full scale */
const hiss = -75

/** A noise as long as asked, root mean square 1. */
type Noise = (seconds: number, random: () => number) => Promise<Float32Array>

/** What the recordings are mixed with, in turn. Only the tap, the dishes and other people's voices can be recordings. */
export async function noises(speech: string | null): Promise<Record<string, Noise>> {
  const made = Object.fromEntries(
    barSounds
      .filter((sound) => sound !== 'room')
      .map((sound): [string, Noise] => [
        `${sound} (synthesised)`,
        (seconds, random) => Promise.resolve(barSound(sound, seconds, random)),
      ]),
  )
  const voicesOfClips = (await Promise.all(Object.keys(voices).map(clipsOf))).flatMap((clips) =>
    [...clips.values()].map(({ samples }) => samples),
  )
  const babbling: Noise = (seconds, random) => Promise.resolve(babble(voicesOfClips, seconds, random))
  const recorded = ['running_tap', 'doing_the_dishes'].filter(
    (name) => speech !== null && existsSync(join(speech, 'noise', `${name}.opus`)),
  )
  const taken = Object.fromEntries(
    recorded.map((name): [string, Noise] => {
      const whole = decodeOpus(new Uint8Array(readFileSync(join(speech ?? '', 'noise', `${name}.opus`))))
      return [
        name.replaceAll('_', ' '),
        async (seconds, random) => {
          const samples = await whole
          const length = Math.round(seconds * sampleRate)
          const start = Math.floor(random() * Math.max(1, samples.length - length))
          const part = Float32Array.from({ length }, (_, i) => samples[(start + i) % samples.length] ?? 0)
          const level = rms(part)
          return part.map((sample) => sample / level)
        },
      ]
    }),
  )
  return { ...made, 'babble (synthetic voices, backwards)': babbling, ...taken }
}

/** A recording as the microphone would get it. */
export interface Made {
  samples: Float32Array
  noise: string
  /** when the speech begins and ends in it; null where that is not known */
  span: { onset: number; end: number } | null
}

const decibels = (level: number): number => 10 ** (level / 20)

/** Makes one recording sound like a condition; `at` chooses the noise and its place, the same each time. */
export async function make(
  speech: Float32Array,
  condition: Condition,
  choice: Record<string, Noise>,
  at: number,
): Promise<Made> {
  const random = randomFrom(at + 1).uniform
  const span = energySpan(padded(speech))
  const spoken = condition.room ? inRoom(speech, response()) : speech
  const loudness = rms(speech)
  const length = Math.round((leadIn + leadOut) * sampleRate) + spoken.length
  const samples = Float32Array.from(
    { length },
    () => decibels(hiss) * (random() + random() + random() - 1.5) * 2,
  )
  const gain = decibels(condition.level) / Math.max(loudness, 1e-6)
  const start = Math.round(leadIn * sampleRate)
  spoken.forEach((sample, i) => (samples[start + i] = (samples[start + i] ?? 0) + gain * sample))

  const names = Object.keys(choice)
  const noise = condition.ratio === null ? 'none' : (names[at % names.length] ?? 'none')
  const makeNoise = choice[noise]
  if (condition.ratio !== null && makeNoise !== undefined) {
    const level = decibels(condition.level - condition.ratio)
    const sound = await makeNoise(length / sampleRate, random)
    sound.forEach((sample, i) => (samples[i] = (samples[i] ?? 0) + level * sample))
  }
  const shift = leadIn - padding
  return {
    samples: samples.map((sample) => Math.max(-1, Math.min(1, sample))),
    noise,
    span: span && { onset: span.onset + shift, end: span.end + shift },
  }
}

/** so that a clip cut to its speech has a span too */
const padding = 0.1
function padded(samples: Float32Array): Float32Array {
  const all = new Float32Array(samples.length + 2 * padding * sampleRate)
  all.set(samples, padding * sampleRate)
  return all
}

let known: Float32Array | null = null
function response(): Float32Array {
  return (known ??= impulseResponse(smallBar))
}
