import { bandCount, frameSeconds } from './bands.ts'
import { anyBelow, anyDensity, bell, belowBell } from './density.ts'
import { hidden, type Profile, type PumpModel } from './evidence.ts'
import { frameAt, frameCount, frameOf, type TaughtShot } from './excerpt.ts'
import { newFloor } from './floor.ts'
import { Follower, type PauseRule } from './follower.ts'
import { besidePump, roomSounds } from './roomSounds.ts'

/** Seconds from the middle of an excerpt's first frame. */
export interface Run {
  onset: number
  end: number
}

/** Limits of a pump's scatter in a band, dB. */
const leastScatter = 2
const mostScatter = 7
/** Seconds at either end of a shot that may not be the pump: words are a little off the button. */
const unsure = 0.4
/** Seconds after the onset until the coffee is soaked through: the pump sounds different before. */
const soaking = 2.2
/** Frames a phase is learnt from at most. */
const enough = 600
const rounds = 4

/** A shot with what must be found out but once: when the pump truly ran, and what else was heard. */
export interface PreparedShot extends TaughtShot {
  /** a low rank of what is heard outside it, in each band */
  room: Float32Array
  /** frames outside it in which the pump is not heard */
  others: readonly Float32Array[]
  /** as it was timed by whoever pulled it */
  said: Run
}

/**
 * Makes shots ready to be learnt from, with a rough model of all of them: what it hears puts the words' times right, and shows
 * what was flushed. Shots that are ready stay as they are.
 */
export function prepare(shots: readonly (TaughtShot | PreparedShot)[]): PreparedShot[] {
  const withRoom = shots.map((shot) => ('room' in shot ? shot : { ...shot, room: roomLevel(shot) }))
  const rough: PumpModel = { pump: phasesOf(withRoom), room: [] }
  return withRoom.map((shot) => {
    if ('others' in shot) return shot
    const runs = runsIn(shot, rough, 0.5)
    return { ...shot, ...aligned(shot, runs), said: shot, others: besidePump(shot, runs, rough) }
  })
}

/** Learns a pump from shots that somebody timed: what is heard in them, less what is heard around them. */
export function learnPump(shots: readonly PreparedShot[]): PumpModel {
  const pump = phasesOf(shots)
  return {
    pump,
    room: roomSounds(
      shots.flatMap(({ others }) => others),
      pump,
    ),
  }
}

function phasesOf(shots: readonly (TaughtShot & { room: Float32Array })[]): Profile[] {
  const phases = [
    (shot: TaughtShot) => [shot.onset + unsure, shot.onset + soaking],
    (shot: TaughtShot) => [shot.onset + soaking, (shot.onset + shot.end) / 2],
    (shot: TaughtShot) => [(shot.onset + shot.end) / 2, shot.end - unsure],
  ] as const
  return phases.flatMap((phase) => {
    const heard = shots.flatMap((shot) => {
      const [from = 0, to = 0] = phase(shot)
      return framesIn(shot, from, to).map((bands) => ({ bands, room: shot.room }))
    })
    return heard.length < 20 ? [] : [pumpProfile(thinned(heard, enough))]
  })
}

/** The onset and end that were heard near those said. */
function aligned(shot: TaughtShot, runs: readonly Run[]): Run {
  const near = 1
  const within = runs.filter(({ onset, end }) => onset < shot.end && end > shot.onset)
  const onset = within.find((run) => Math.abs(run.onset - shot.onset) < near)?.onset
  const end = within.find((run) => Math.abs(run.end - shot.end) < near)?.end
  return { onset: onset ?? shot.onset, end: end ?? shot.end }
}

/** The runs a model hears in an excerpt, seconds from its first frame; pauses up to `pause` seconds are bridged. */
export function runsIn(shot: TaughtShot, model: PumpModel, pause: number | PauseRule): Run[] {
  const rule = typeof pause === 'number' ? () => pause : pause
  const follower = new Follower(model, newFloor(), rule)
  const bands = new Float32Array(bandCount)
  const runs: Run[] = []
  let onset: number | null = null
  const zero = follower.timeOf(0)
  for (let frame = 0; frame < frameCount(shot); frame++) {
    const news = follower.push(frameOf(shot, frame, bands))
    if (news?.kind === 'on') onset = news.onset - zero
    if (news?.kind === 'off') {
      runs.push({ onset: news.onset - zero, end: news.end - zero })
      onset = null
    }
  }
  const last = follower.lastEnd
  if (onset !== null) runs.push({ onset, end: last === null ? frameCount(shot) * frameSeconds : last - zero })
  return runs
}

/** Seconds of silence that end a run, unless this machine rests within a shot. */
const usualPause = 1.5
/** Seconds after which no machine rests any more: the coffee is wet. */
const wet = 15

/**
 * How long a silence ends a shot on this machine: some wet the coffee, rest some seconds and go on. Learnt from the pauses
 * in most of the shots.
 */
export function pauseRuleOf(shots: readonly TaughtShot[], model: PumpModel): PauseRule {
  const pauses = shots.map((shot) => {
    const runs = runsIn(shot, model, 0.4).filter(
      ({ onset, end }) => end > shot.onset - 1 && onset < shot.end - 1,
    )
    const gaps = runs.slice(1).map(({ onset }, at) => onset - (runs[at]?.end ?? onset))
    return Math.max(0, ...gaps)
  })
  const longest = pauses.sort((a, b) => a - b)[Math.floor(0.8 * (pauses.length - 1))] ?? 0
  const early = Math.min(6, Math.max(usualPause, 1.3 * longest + 0.3))
  return (lasted) => (lasted < wet ? early : usualPause)
}

/** A low rank of what is heard outside the shot, in each band. */
function roomLevel(shot: TaughtShot): Float32Array {
  const outside = [
    ...framesIn(shot, 0, shot.onset - 1),
    ...framesIn(shot, shot.end + 1, frameCount(shot) * frameSeconds),
  ]
  return Float32Array.from({ length: bandCount }, (_, b) => {
    const levels = outside.map((bands) => bands[b] ?? 0).sort((a, c) => a - c)
    return levels[Math.floor(0.4 * levels.length)] ?? -90
  })
}

function framesIn(shot: TaughtShot, from: number, to: number): Float32Array[] {
  const first = Math.max(0, frameAt(from))
  const count = Math.max(0, Math.min(frameCount(shot), frameAt(to)) - first)
  return Array.from({ length: count }, (_, i) => frameOf(shot, first + i, new Float32Array(bandCount)))
}

function thinned<T>(all: readonly T[], most: number): readonly T[] {
  const every = Math.ceil(all.length / most)
  return all.filter((_, i) => i % every === 0)
}

/**
 * The pump alone, band by band, by expectation and maximisation under the max model (see `evidence.ts`): of a sound
 * that the room drowned, only an upper limit is known.
 */
function pumpProfile(heard: readonly { bands: Float32Array; room: Float32Array }[]): Profile {
  const level = new Float32Array(bandCount)
  const scatter = new Float32Array(bandCount)
  for (let b = 0; b < bandCount; b++) {
    const levels = heard.map(({ bands }) => bands[b] ?? 0).sort((a, c) => a - c)
    let mean = levels[levels.length >> 1] ?? 0
    const aside = levels.map((x) => Math.abs(x - mean)).sort((a, c) => a - c)
    let deviation = clamped(1.48 * (aside[aside.length >> 1] ?? 0), leastScatter, mostScatter)
    for (let round = 0; round < rounds; round++) {
      let [count, sum, squares] = [0, 0, 0]
      for (const { bands, room } of heard) {
        const x = bands[b] ?? 0
        const z = (x - mean) / deviation
        // far below the pump: a pause, or a word that came early
        if (z < -4) continue
        const above = x - (room[b] ?? 0)
        const roomDensity = 0.7 * bell(above / 3, 3) + 0.3 * anyDensity(above)
        const roomBelow = 0.7 * belowBell(above / 3) + 0.3 * anyBelow(above)
        const under = Math.max(1e-6, belowBell(z))
        const seen = bell(z, deviation) * roomBelow
        const share = seen / (seen + under * roomDensity + 1e-12)
        const ratio = (bell(z, 1) / under) as number
        const unheard = mean - deviation * ratio
        const unheardSpread = deviation * deviation * Math.max(0.05, 1 - z * ratio - ratio * ratio)
        count++
        sum += share * x + (1 - share) * unheard
        squares += share * x * x + (1 - share) * (unheard * unheard + unheardSpread)
      }
      if (count < 10) break
      mean = sum / count
      deviation = clamped(Math.sqrt(Math.max(0, squares / count - mean * mean)), leastScatter, mostScatter)
    }
    const rooms = heard.reduce((sum, { room }) => sum + (room[b] ?? 0), 0) / Math.max(1, heard.length)
    level[b] = mean < rooms + 2 ? hidden : mean
    scatter[b] = deviation
  }
  return { level, scatter, weight: heard.length }
}

const clamped = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value))
