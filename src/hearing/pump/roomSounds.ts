import { bandCount, frameSeconds } from './bands.ts'
import { hidden, type Profile, type PumpModel } from './evidence.ts'
import { frameAt, frameCount, frameOf, type TaughtShot } from './excerpt.ts'
import type { Run } from './learn.ts'

/** Kinds of sound that are told apart. */
const kinds = 8
const leastScatter = 2.5
const mostScatter = 9
/** Frames they are learnt from at most. */
const enough = 1500
const rounds = 8
/** One frame in so many is looked at. */
const every = 4
/** Seconds around a shot that are not the room's. */
const around = 1.5
/** A run outside the shots is a flush, and no sound of the room's, when it is as near as this to the pump, dB. */
const alike = 3

/** What is heard in an excerpt beside the shot, thinned; `runs` in it that sound like the pump are left out: it was flushed. */
export function besidePump(shot: TaughtShot, runs: readonly Run[], { pump }: PumpModel): Float32Array[] {
  const flushes = runs.filter((run) =>
    run.end < shot.onset || run.onset > shot.end ? isPump(shot, run, pump) : false,
  )
  const heard: Float32Array[] = []
  for (let frame = 0; frame < frameCount(shot); frame += every) {
    const at = frame * frameSeconds
    const inShot = at > shot.onset - around && at < shot.end + around
    if (inShot || flushes.some(({ onset, end }) => at > onset - 0.3 && at < end + 0.3)) continue
    heard.push(frameOf(shot, frame, new Float32Array(bandCount)))
  }
  return heard
}

/**
 * What is heard between the shots: the grinder, steam, talk, in groups (k-means, Lloyd, IEEE Trans. Information Theory 28,
 * 1982). A group that sounds like the pump is left out.
 */
export function roomSounds(heard: readonly Float32Array[], pump: readonly Profile[]): Profile[] {
  const thinning = Math.ceil(heard.length / enough)
  return grouped(heard.filter((_, i) => i % thinning === 0)).filter(
    ({ level }) => !pump.some((profile) => isAlike(level, profile)),
  )
}

function isPump(shot: TaughtShot, run: Run, pump: readonly Profile[]): boolean {
  const bands = new Float32Array(bandCount)
  const from = frameAt(run.onset + 0.1)
  const to = Math.max(from + 1, frameAt(run.end - 0.1))
  const mean = new Float32Array(bandCount)
  for (let frame = from; frame < to; frame++) {
    frameOf(shot, frame, bands)
    for (let b = 0; b < bandCount; b++) mean[b] = (mean[b] ?? 0) + (bands[b] ?? 0) / (to - from)
  }
  return pump.some((profile) => isAlike(mean, profile))
}

/** Whether a sound is the pump's in most of the bands in which the pump is heard. A flush is louder or softer in some: it meets no coffee. */
function isAlike(sound: Float32Array, { level }: Profile): boolean {
  const aside: number[] = []
  for (let b = 0; b < bandCount; b++)
    if (level[b] !== hidden) aside.push(Math.abs((sound[b] ?? 0) - (level[b] ?? 0)))
  aside.sort((a, c) => a - c)
  return (aside[aside.length >> 1] ?? Infinity) < alike
}

function grouped(heard: readonly Float32Array[]): Profile[] {
  if (heard.length < 10 * kinds) return []
  // far apart to begin with: each next centre is the frame farthest from those before
  const centres: Float32Array[] = [Float32Array.from(heard[0] as Float32Array)]
  const nearest = heard.map((bands) => distance(bands, centres[0] as Float32Array))
  while (centres.length < kinds) {
    // the farthest of all may be a freak: the one at 97 % is taken
    const order = nearest.map((far, i) => ({ far, i })).sort((a, b) => a.far - b.far)
    const next = heard[order[Math.floor(0.97 * order.length)]?.i ?? 0] as Float32Array
    centres.push(Float32Array.from(next))
    heard.forEach((bands, i) => (nearest[i] = Math.min(nearest[i] ?? 0, distance(bands, next))))
  }
  const group = new Int32Array(heard.length)
  for (let round = 0; round < rounds; round++) {
    heard.forEach((bands, i) => {
      let best = Infinity
      centres.forEach((centre, k) => {
        const far = distance(bands, centre)
        if (far < best) {
          best = far
          group[i] = k
        }
      })
    })
    centres.forEach((centre, k) => {
      const own = heard.filter((_, i) => group[i] === k)
      if (own.length > 0) centre.set(meanOf(own))
    })
  }
  return centres.flatMap((centre, k) => {
    const own = heard.filter((_, i) => group[i] === k)
    if (own.length < 10) return []
    const scatter = Float32Array.from({ length: bandCount }, (_, b) => {
      const squares = own.reduce((sum, bands) => sum + ((bands[b] ?? 0) - (centre[b] ?? 0)) ** 2, 0)
      return Math.min(mostScatter, Math.max(leastScatter, Math.sqrt(squares / own.length)))
    })
    return [{ level: centre, scatter, weight: own.length / heard.length }]
  })
}

function meanOf(frames: readonly Float32Array[]): Float32Array {
  const mean = new Float32Array(bandCount)
  for (const bands of frames)
    for (let b = 0; b < bandCount; b++) mean[b] = (mean[b] ?? 0) + (bands[b] ?? 0) / frames.length
  return mean
}

function distance(a: Float32Array, b: Float32Array): number {
  let sum = 0
  for (let i = 0; i < bandCount; i++) sum += ((a[i] as number) - (b[i] as number)) ** 2
  return sum
}
