import { randomFrom } from '../../src/coffee/random.ts'
import { babble } from '../barNoise.ts'
import { clipsOf, speechLevel } from '../clips.ts'
import { voices } from '../voices.ts'
import { sampleRate } from '../wav.ts'
import { heardIn, type BarRoom } from './barRooms.ts'
import { noise } from './filters.ts'
import { loads, machines, type Load, type Machine } from './machine.ts'
import { otherSound, type OtherSound } from './otherSounds.ts'
import { pumpSound, type Run } from './pumpSound.ts'

/** What runs all the while. `none`: only the microphone's own hiss. */
export type Background = 'none' | 'babble' | 'music' | 'room' | 'fridge'

export interface DayOptions {
  machine: Machine
  room: BarRoom
  /** of the pump against speech, dB */
  pumpLevel: number
  background: Background
  /** speech against the background, dB */
  ratio: number
  /** shots that are timed by word, and shots after them that are not */
  taught: number
  shots: number
  /** seconds of grinder, steam, tap, dishes, talk and a second machine after the shots, with no pump running */
  idle: number
  seed: number
}

export interface TruePump {
  kind: 'shot' | 'flush' | 'refill'
  onset: number
  end: number
  /** when the barista said that it began and ended; only of taught shots */
  said: Run | null
}

/** A day at a bar as sound, with the truth about its pump. Times are seconds into the sound. */
export interface PumpDay {
  samples: Float32Array
  pumps: readonly TruePump[]
  /** what else was to be heard, and when */
  others: readonly (Run & { what: OtherSound | 'talk' | 'second machine' })[]
  /** stretch at the end in which no pump of this machine runs */
  idle: Run
}

interface Part {
  at: number
  samples: Float32Array
  gain: number
  /** where in the room; parts of one place share their echo */
  place: number
}

/** Sounds other than the pump are heard at these levels against speech, dB. */
const levels: Record<OtherSound | 'talk' | 'second machine', { low: number; high: number }> = {
  grinder: { low: -6, high: 6 },
  steam: { low: -15, high: -3 },
  tap: { low: -18, high: -6 },
  dishes: { low: -18, high: -6 },
  music: { low: -20, high: -10 },
  fridge: { low: -25, high: -15 },
  talk: { low: -10, high: 3 },
  'second machine': { low: -18, high: -6 },
}

const decibels = (level: number) => 10 ** (level / 20)

/** Plays a day: each shot is ground, flushed for now and then, pulled and steamed, with talk and the bar's noise around it. */
export async function pumpDay(options: DayOptions): Promise<PumpDay> {
  const random = randomFrom(options.seed)
  const { uniform } = random
  const between = (low: number, high: number) => low + (high - low) * uniform()
  const speech = (await Promise.all(Object.keys(voices).map(clipsOf))).flatMap((clips) =>
    [...clips.values()].map(({ samples }) => samples),
  )
  const parts: Part[] = []
  const pumps: TruePump[] = []
  const others: PumpDay['others'][number][] = []
  const places = { machine: 11, barista: 12, counter: 13, far: 13 }
  let now = 4

  const play = (samples: Float32Array, at: number, level: number, place: number) =>
    parts.push({ at, samples, gain: speechLevel * decibels(level), place })
  const other = (sound: OtherSound, at: number, seconds: number) => {
    others.push({ what: sound, onset: at, end: at + seconds })
    play(
      otherSound(sound, seconds, uniform),
      at,
      between(levels[sound].low, levels[sound].high),
      places.counter,
    )
  }
  const talk = (at: number, until: number, level = between(levels.talk.low, levels.talk.high)) => {
    others.push({ what: 'talk', onset: at, end: until })
    for (let when = at; when < until; when += between(0.1, 3)) {
      const clip = speech[Math.floor(uniform() * speech.length)] ?? new Float32Array(0)
      if (when + clip.length / sampleRate > until) return
      play(clip, when, level, places.barista)
      when += clip.length / sampleRate
    }
  }
  const runPump = (
    machine: Machine,
    runs: readonly Run[],
    load: Load | 'none',
    level: number,
    place: number,
  ) => {
    const from = (runs[0]?.onset ?? 0) - 0.2
    const until = (runs.at(-1)?.end ?? 0) + 1.5
    const moved = runs.map(({ onset, end }) => ({ onset: onset - from, end: end - from }))
    play(pumpSound(machine, moved, load, until - from, uniform), from, level, place)
  }
  const pump = (
    kind: TruePump['kind'],
    at: number,
    seconds: number,
    load: Load | 'none',
    isTaught: boolean,
  ) => {
    const soak = kind === 'shot' ? options.machine.preInfusion : null
    const runs = soak
      ? [
          { onset: at, end: at + soak.on },
          { onset: at + soak.on + soak.off, end: at + seconds },
        ]
      : [{ onset: at, end: at + seconds }]
    runPump(options.machine, runs, load, options.pumpLevel, places.machine)
    // a word comes a little off the button: before it as often as not at the start, after it at the end
    const said = isTaught
      ? { onset: at + 0.05 + 0.15 * random.normal(), end: at + seconds + 0.15 + 0.15 * random.normal() }
      : null
    pumps.push({ kind, onset: at, end: at + seconds, said })
    if (said !== null)
      for (const when of [said.onset, said.end])
        play(speech[Math.floor(uniform() * 4)] ?? new Float32Array(0), when, 0, places.barista)
  }

  const loadNames = Object.keys(loads) as Load[]
  for (let shot = 0; shot < options.taught + options.shots; shot++) {
    const isTaught = shot < options.taught
    other('grinder', now, between(6, 12))
    now += between(9, 15)
    if (uniform() < 0.3) other('dishes', now - 4, between(2, 6))
    if (uniform() < 0.5) {
      const seconds = between(2, 5)
      pump('flush', now, seconds, 'none', false)
      now += seconds + between(4, 8)
    }
    const load = loadNames[Math.floor(uniform() * loadNames.length)] ?? 'right'
    const length = { fast: between(12, 18), right: between(18, 30), choked: between(28, 40) }[load]
    if (uniform() < 0.5) talk(now - 2, now + length + 4)
    if (uniform() < 0.3) other('tap', now + between(-3, 10), between(3, 8))
    if (uniform() < 0.25) other('steam', now + between(3, 10), between(5, 12))
    pump('shot', now, length, load, isTaught)
    now += length + between(3, 6)
    if (uniform() < 0.6) other('steam', now, between(6, 14))
    now += between(8, 12)
    if (uniform() < 0.2) {
      const seconds = between(3, 7)
      pump('refill', now, seconds, 'none', false)
      now += seconds + between(3, 6)
    }
  }
  const idle = { onset: now, end: now + options.idle }
  const second = machines[(machines.indexOf(options.machine) + 1) % machines.length] ?? options.machine
  while (now < idle.end) {
    const seconds = between(4, 15)
    const what = Math.floor(7 * uniform())
    if (what === 0) talk(now, now + seconds)
    else if (what === 1) {
      others.push({ what: 'second machine', onset: now, end: now + 2 * seconds })
      runPump(
        second,
        [{ onset: now, end: now + 2 * seconds }],
        'right',
        between(levels['second machine'].low, levels['second machine'].high),
        places.far,
      )
    } else other((['grinder', 'steam', 'tap', 'dishes', 'music'] as const)[what - 2] ?? 'tap', now, seconds)
    now += what === 1 ? 2 * seconds + 3 : between(0.6, 1.3) * seconds
  }
  const length = Math.round((now + 4) * sampleRate)
  return { samples: mixed(parts, length, options, speech, uniform), pumps, others, idle }
}

function mixed(
  parts: readonly Part[],
  length: number,
  { background, ratio, room, seed }: DayOptions,
  speech: readonly Float32Array[],
  random: () => number,
): Float32Array {
  const samples = noise(length, random).map((sample) => sample * decibels(-70))
  for (const place of new Set(parts.map((part) => part.place))) {
    const dry = new Float32Array(length)
    for (const part of parts.filter((one) => one.place === place)) {
      const start = Math.round(part.at * sampleRate)
      for (let i = Math.max(0, -start); i < part.samples.length && start + i < length; i++)
        dry[start + i] = (dry[start + i] ?? 0) + part.gain * (part.samples[i] ?? 0)
    }
    const heard = heardIn(dry, room, seed * 31 + place)
    for (let i = 0; i < length; i++) samples[i] = (samples[i] ?? 0) + (heard[i] ?? 0)
  }
  const seconds = length / sampleRate
  const bed =
    background === 'none'
      ? null
      : background === 'babble'
        ? babble(speech, seconds, random)
        : background === 'room'
          ? lowNoise(length, random)
          : otherSound(background, seconds, random)
  if (bed !== null) {
    const gain = speechLevel * decibels(-ratio)
    bed.forEach((sample, i) => (samples[i] = (samples[i] ?? 0) + gain * sample))
  }
  return samples.map((sample) => Math.max(-1, Math.min(1, sample)))
}

/** Ventilation: noise that falls by 6 dB an octave. */
function lowNoise(length: number, random: () => number): Float32Array {
  let held = 0
  const sound = noise(length, random).map((sample) => (held += 0.07 * (sample - held)))
  const level = Math.sqrt(sound.reduce((sum, sample) => sum + sample * sample, 0) / length)
  return sound.map((sample) => sample / level)
}
