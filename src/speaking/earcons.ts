import type { Earcon } from '../messages/cue.ts'

/** One sounding stretch and the silence after it, in seconds. */
interface Beat {
  on: number
  off: number
}

export interface EarconPattern {
  /** fundamental in hertz; every partial stays at or below {@link highestFrequency} */
  pitch: number
  /** level of each partial, from the fundamental up, relative to it */
  partials: readonly number[]
  beats: readonly Beat[]
}

/** Hearing above this goes first with age (ISO 24500 practice, as the project's design gives it). */
export const highestFrequency = 2500

/** Peak of every earcon, full scale 1: about as loud as the speech, and together with it below full scale. */
export const earconLevel = 0.2

/** Rise and fall of every beat, in seconds: a raised cosine long enough to keep clicks below 2.5 kHz. */
const earconRamp = 0.008

const beats = (...lengths: number[]): Beat[] =>
  lengths.flatMap((on, index) => (index % 2 === 0 ? [{ on, off: lengths[index + 1] ?? 0 }] : []))

/**
 * The sounds. Each has one fixed frequency and is told by its pattern of on and off alone (ISO 24500:2010,
 * auditory signals for consumer products, covers signals of a fixed frequency, not melodies); pitch only helps.
 */
const single: Record<Exclude<Earcon, 'warning' | 'limit'>, EarconPattern> = {
  tick: { pitch: 1000, partials: [1], beats: beats(0.03) },
  heard: { pitch: 880, partials: [1, 0.3], beats: beats(0.08) },
  'not understood': { pitch: 330, partials: [1, 0.5, 0.3], beats: beats(0.16, 0.14, 0.16) },
  logged: { pitch: 660, partials: [1, 0.3], beats: beats(0.06, 0.06, 0.3) },
  trouble: { pitch: 247, partials: [1, 0.6, 0.4, 0.2], beats: beats(0.5, 0.12, 0.12, 0.12, 0.12) },
}

/** Pitch of each hand-off clock: a fifth and an octave apart. */
const clockPitches = [523, 784, 1047] as const

/** A clock's warning: as many beats as its number, short enough to come four times a second. */
const warnings = [beats(0.18), beats(0.08, 0.04, 0.08), beats(0.045, 0.03, 0.045, 0.03, 0.045)] as const

/** A clock's limit: the same number of beats, long. */
const limits = [beats(1.2), beats(0.55, 0.12, 0.55), beats(0.32, 0.12, 0.32, 0.12, 0.32)] as const

/** How many clocks have sounds of their own; later ones share the last. */
export const clockVoices = clockPitches.length

/**
 * The pattern of an earcon.
 * @param voice the running clock it belongs to, from 1; the fourth and later sound like the third
 */
export function earconPattern(earcon: Earcon, voice = 1): EarconPattern {
  if (earcon !== 'warning' && earcon !== 'limit') return single[earcon]
  const index = Math.min(Math.max(Math.trunc(voice), 1), clockVoices) - 1
  const patterns = earcon === 'warning' ? warnings : limits
  return {
    pitch: clockPitches[index] ?? clockPitches[0],
    partials: [1, 0.4],
    beats: patterns[index] ?? patterns[0],
  }
}

/** Seconds from the first sample to the last. */
function earconDuration({ beats }: EarconPattern): number {
  return beats.reduce((sum, { on, off }) => sum + on + off, 0)
}

/** The sound of a pattern, in -1..1. */
export function renderEarcon(pattern: EarconPattern, sampleRate: number): Float32Array {
  const output = new Float32Array(Math.ceil(earconDuration(pattern) * sampleRate))
  const full = pattern.partials.reduce((sum, level) => sum + level, 0)
  let start = 0
  for (const { on, off } of pattern.beats) {
    const length = Math.round(on * sampleRate)
    for (let index = 0; index < length; index++) {
      const time = index / sampleRate
      const edge = Math.min(time, on - time, earconRamp) / earconRamp
      const envelope = 0.5 - 0.5 * Math.cos(Math.PI * edge)
      const sample = pattern.partials.reduce(
        (sum, level, partial) => sum + level * Math.sin(2 * Math.PI * pattern.pitch * (partial + 1) * time),
        0,
      )
      output[Math.round(start * sampleRate) + index] = (earconLevel * envelope * sample) / full
    }
    start += on + off
  }
  return output
}
