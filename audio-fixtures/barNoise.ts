import { rms } from './energy.ts'
import { sampleRate } from './wav.ts'

/**
 * The sounds of a bar, all of them synthesised here: invented data for tests and demos, no recording of a machine.
 * Each is as long as asked and has a root mean square of 1, to be scaled by whoever mixes it.
 */
export const barSounds = ['room', 'pump', 'grinder', 'steam', 'dishes'] as const
export type BarSound = (typeof barSounds)[number]

type Random = () => number

/** Makes a bar sound of a length in seconds; the same random source gives the same sound. */
export function barSound(sound: BarSound, seconds: number, random: Random): Float32Array {
  const length = Math.round(seconds * sampleRate)
  return unit(faded(makers[sound](length, random)))
}

/** Many people talking at once and nobody to be understood: clips of speech played backwards, over one another. */
export function babble(clips: readonly Float32Array[], seconds: number, random: Random): Float32Array {
  const mixed = new Float32Array(Math.round(seconds * sampleRate))
  const talkers = 6
  for (let talker = 0; talker < talkers; talker++) {
    for (let at = Math.floor(-random() * sampleRate); at < mixed.length;) {
      const clip = clips[Math.floor(random() * clips.length)]
      if (!clip) throw new RangeError('babble needs at least one clip')
      for (let i = Math.max(0, -at); i < clip.length && at + i < mixed.length; i++)
        mixed[at + i] = (mixed[at + i] ?? 0) + (clip[clip.length - 1 - i] ?? 0)
      at += clip.length + Math.floor(random() * 0.2 * sampleRate)
    }
  }
  return unit(mixed)
}

const makers: Record<BarSound, (length: number, random: Random) => Float32Array> = {
  /** the low rumble of a room: noise falling by 6 dB an octave above 200 Hz */
  room: (length, random) => lowPass(noise(length, random), 200),

  /** a vibratory pump: 50 strokes a second with their harmonics, and the hiss of the water */
  pump: (length, random) => {
    const hiss = lowPass(noise(length, random), 3000)
    return filled(length, (t, at) => strokes(50, 24, t) + 0.4 * (hiss[at] ?? 0))
  },

  /** a grinder: a motor that hums at 120 Hz with a slight wobble, and beans breaking */
  grinder: (length, random) => {
    const breaking = highPass(lowPass(noise(length, random), 3500), 400)
    return filled(
      length,
      (t, at) => 0.5 * strokes(120, 12, t + 0.0004 * Math.sin(9 * t)) + 1.5 * (breaking[at] ?? 0),
    )
  },

  /** a steam wand: noise above 2 kHz that swells and sinks */
  steam: (length, random) => {
    const hiss = highPass(noise(length, random), 2000)
    return filled(length, (t, at) => (1 + 0.4 * Math.sin(5 * t) * Math.sin(1.3 * t)) * (hiss[at] ?? 0))
  },

  /** cups and saucers: about three knocks a second, each a few damped tones that do not fit together */
  dishes: (length, random) => {
    const sound = new Float32Array(length)
    for (let at = 0; at < length; at += Math.floor(-Math.log(1 - random()) * 0.33 * sampleRate)) {
      for (let tone = 0; tone < 5; tone++) {
        const pitch = 1500 + 5000 * random()
        const decay = 0.02 + 0.08 * random()
        for (let i = 0; i < 5 * decay * sampleRate && at + i < length; i++) {
          const t = i / sampleRate
          sound[at + i] = (sound[at + i] ?? 0) + Math.exp(-t / decay) * Math.sin(2 * Math.PI * pitch * t)
        }
      }
    }
    return sound
  },
}

function filled(length: number, value: (t: number, at: number) => number): Float32Array {
  return Float32Array.from({ length }, (_, at) => value(at / sampleRate, at))
}

function noise(length: number, random: Random): Float32Array {
  return filled(length, () => 2 * random() - 1)
}

function strokes(pitch: number, harmonics: number, t: number): number {
  let sum = 0
  for (let harmonic = 1; harmonic <= harmonics; harmonic++)
    sum += Math.sin(2 * Math.PI * pitch * harmonic * t + harmonic * harmonic) / harmonic
  return sum
}

function lowPass(samples: Float32Array, cutoff: number): Float32Array {
  const share = 1 - Math.exp((-2 * Math.PI * cutoff) / sampleRate)
  let held = 0
  return samples.map((sample) => (held += share * (sample - held)))
}

function highPass(samples: Float32Array, cutoff: number): Float32Array {
  const low = lowPass(samples, cutoff)
  return samples.map((sample, at) => sample - (low[at] ?? 0))
}

/** Machines do not begin or end at once: a tenth of a second of swelling and sinking. */
function faded(samples: Float32Array): Float32Array {
  const fade = 0.1 * sampleRate
  return samples.map((sample, at) => sample * Math.min(1, at / fade, (samples.length - at) / fade))
}

function unit(samples: Float32Array): Float32Array {
  const level = rms(samples)
  if (level === 0) throw new RangeError('the sound is silent')
  return samples.map((sample) => sample / level)
}
