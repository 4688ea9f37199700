import { babble, barSound } from './barNoise.ts'
import { clipOf, clipsOf, speechLevel } from './clips.ts'
import type { Span } from './energy.ts'
import { randomFrom } from '../src/coffee/random.ts'
import type { SaidLine, Session } from './session.ts'
import { voices } from './voices.ts'
import { sampleRate } from './wav.ts'

/** A line of a session with the times at which it is truly said, seconds into the recording. */
export type Spoken = SaidLine & Span & { voice: string }

/** A session as sound, with the truth about it. */
export interface Recording {
  /** -1..1 at {@link sampleRate} */
  samples: Float32Array
  spoken: readonly Spoken[]
  /** from the onset of the word that started each pour to the onset of the word that ended it, seconds */
  pours: readonly number[]
}

interface Part {
  onset: number
  samples: Float32Array
  gain: number
}

/** Speaks a session's lines at their times and mixes the bar's noise in. The same session gives the same samples. */
export async function renderSession(session: Session): Promise<Recording> {
  const random = randomFrom(1).uniform
  const spoken: Spoken[] = []
  const pours: number[] = []
  const parts: Part[] = []
  let now = session.leadIn
  let pourOnset: number | undefined

  for (const line of session.lines) {
    if ('sound' in line) {
      const samples = await soundOf(line.sound, line.lasts, random)
      parts.push({ onset: now + line.wait, samples, gain: speechLevel * decibels(line.level) })
      continue
    }
    const voice = line.voice ?? session.voice
    const { samples } = await clipOf(voice, line.say)
    const onset = onsetOf(line, now, pourOnset)
    parts.push({ onset, samples, gain: decibels(line.level) })
    now = onset + samples.length / sampleRate
    spoken.push({ ...line, voice, onset, end: now })
    if (line.pour === 'starts') pourOnset = onset
    if (line.pour === 'ends') {
      if (pourOnset === undefined) throw new Error(`"${line.say}" ends a pour that never started`)
      pours.push(onset - pourOnset)
      pourOnset = undefined
    }
  }

  const seconds = now + session.leadOut
  for (const { sound, level } of session.background)
    parts.push({
      onset: 0,
      samples: await soundOf(sound, seconds, random),
      gain: speechLevel * decibels(level),
    })
  return { samples: mix(parts, seconds), spoken, pours }
}

function onsetOf(line: SaidLine, now: number, pourOnset: number | undefined): number {
  if (line.poured === undefined) return now + (line.wait ?? 0)
  if (pourOnset === undefined) throw new Error(`"${line.say}" is timed by a pour, but none is running`)
  const onset = pourOnset + line.poured
  if (onset < now) throw new RangeError(`"${line.say}" would begin before the line above it ends`)
  return onset
}

async function soundOf(sound: Session['background'][number]['sound'], seconds: number, random: () => number) {
  if (sound !== 'babble') return barSound(sound, seconds, random)
  const packs = await Promise.all(Object.keys(voices).map(clipsOf))
  return babble(
    packs.flatMap((pack) => [...pack.values()].map((clip) => clip.samples)),
    seconds,
    random,
  )
}

function mix(parts: readonly Part[], seconds: number): Float32Array {
  const samples = new Float32Array(Math.round(seconds * sampleRate))
  for (const { onset, samples: part, gain } of parts) {
    const start = Math.round(onset * sampleRate)
    for (let i = 0; i < part.length && start + i < samples.length; i++)
      samples[start + i] = (samples[start + i] ?? 0) + gain * (part[i] ?? 0)
  }
  return samples
}

function decibels(level: number): number {
  return 10 ** (level / 20)
}
