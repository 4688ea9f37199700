import { bandCount } from './bands.ts'
import { anyBelow, anyDensity, bell, belowBell, logSum } from './density.ts'
import type { Floor } from './floor.ts'

/** A sound as a normal distribution in each band, dB. */
export interface Profile {
  level: Float32Array
  scatter: Float32Array
  /** how often it is heard, against the others of its kind */
  weight: number
}

/** The level of a band in which a pump was never heard above the room: it says nothing. */
export const hidden = -200

/** What is known of a pump and of the room around it. */
export interface PumpModel {
  /** the pump by itself: as it starts, as the coffee soaks, as it pours */
  pump: readonly Profile[]
  /** what else is heard here: the grinder, steam, talk */
  room: readonly Profile[]
}

/** Share of a band's sounds that are not what the profile says. */
const strange = 0.12
/** The same of the pump: its tone moves with the pressure. */
const strangePump = 0.1
/** Bands and frames that overlap do not speak for themselves: their evidence counts for so much. */
const temper = 0.12
/** The most one frame can say for or against. */
const most = 2

/** Weights of the floor alone, of a pump that is another one and of something never heard before; the rest is the room's known sounds'. */
const floorWeight = 0.4
const otherWeight = 0.1
const newWeight = 0.05
/** How far another pump's bands lie from this one's, dB: they are about as loud, but not band by band. */
const otherScatter = 8

/**
 * Weighs frames: the logarithm of how much likelier each is with the pump than without, tempered, in
 * -{@link most}..{@link most}.
 *
 * In each band the louder of pump and room is heard (the max model: Nádas, Nahamoo and Picheny, Speech recognition using
 * noise-adaptive prototypes, IEEE Trans. ASSP 37, 1989). So a band drowned by something louder says nothing, and a
 * band that is quieter than the pump ever is speaks against it.
 */
export function createScale(model: PumpModel): (bands: Float32Array, floor: Floor) => number {
  const phases = model.pump.length
  const other = otherPump(model.pump)
  const sounds = model.room.length + 3
  const [floorAt, otherAt, newAt] = [sounds - 3, sounds - 2, sounds - 1]
  const pumpDensity = new Float64Array(phases * bandCount)
  const pumpBelow = new Float64Array(phases * bandCount)
  const roomDensity = new Float64Array(sounds * bandCount)
  const roomBelow = new Float64Array(sounds * bandCount)
  const without = new Float64Array(sounds)
  const withPump = new Float64Array(sounds * phases)
  const known = 1 - floorWeight - otherWeight - newWeight
  const weights = [
    ...model.room.map(({ weight }) => Math.log(Math.max(1e-6, known * weight))),
    Math.log(floorWeight + (model.room.length === 0 ? known : 0)),
    Math.log(otherWeight),
    Math.log(newWeight),
  ]
  const total = model.pump.reduce((sum, { weight }) => sum + weight, 0)
  const phaseWeights = model.pump.map(({ weight }) => Math.log(weight / total))

  const fill = (bands: Float32Array, floor: Floor): void => {
    for (let b = 0; b < bandCount; b++) {
      const x = bands[b] as number
      const above = x - (floor.level[b] as number)
      const any = anyDensity(above)
      const anyUnder = anyBelow(above)
      for (let k = 0; k < sounds; k++) {
        const at = k * bandCount + b
        if (k === newAt) {
          roomDensity[at] = any
          roomBelow[at] = anyUnder
          continue
        }
        const isFloor = k === floorAt || (k === otherAt && other.level[b] === hidden)
        const profile = isFloor ? undefined : k === otherAt ? other : model.room[k]
        const scatter = profile ? (profile.scatter[b] as number) : (floor.scatter[b] as number)
        // no known sound is quieter than the room
        const level = profile
          ? Math.max(profile.level[b] as number, floor.level[b] as number)
          : (floor.level[b] as number)
        const z = (x - level) / scatter
        roomDensity[at] = (1 - strange) * bell(z, scatter) + strange * any
        roomBelow[at] = (1 - strange) * belowBell(z) + strange * anyUnder
      }
      for (let j = 0; j < phases; j++) {
        const { level, scatter } = model.pump[j] as Profile
        if (level[b] === hidden) {
          pumpDensity[j * bandCount + b] = 0
          pumpBelow[j * bandCount + b] = 1
          continue
        }
        const z = (x - (level[b] as number)) / (scatter[b] as number)
        pumpDensity[j * bandCount + b] = (1 - strangePump) * bell(z, scatter[b] as number) + strangePump * any
        pumpBelow[j * bandCount + b] = (1 - strangePump) * belowBell(z) + strangePump * anyUnder
      }
    }
  }

  return (bands, floor) => {
    fill(bands, floor)
    for (let k = 0; k < sounds; k++) {
      let product = 1
      let log = weights[k] as number
      for (let b = 0; b < bandCount; b++) {
        product *= roomDensity[k * bandCount + b] as number
        if (product < 1e-200) {
          log += Math.log(product)
          product = 1
        }
      }
      without[k] = log + Math.log(product)
      for (let j = 0; j < phases; j++) {
        product = 1
        log = (weights[k] as number) + (phaseWeights[j] as number)
        for (let b = 0; b < bandCount; b++) {
          const room = k * bandCount + b
          const pump = j * bandCount + b
          product *=
            (pumpDensity[pump] as number) * (roomBelow[room] as number) +
            (pumpBelow[pump] as number) * (roomDensity[room] as number)
          if (product < 1e-200) {
            log += Math.log(product)
            product = 1
          }
        }
        withPump[k * phases + j] = log + Math.log(product)
      }
    }
    const ratio = logSum(withPump, sounds * phases) - logSum(without, sounds)
    return Math.max(-most, Math.min(most, temper * ratio))
  }
}

/** What another pump may sound like: as this one on the whole. */
function otherPump(phases: readonly Profile[]): Profile {
  const level = Float32Array.from({ length: bandCount }, (_, b) => {
    const heard = phases.flatMap((phase) => (phase.level[b] === hidden ? [] : [phase.level[b] ?? 0]))
    return heard.length === 0 ? hidden : heard.reduce((sum, one) => sum + one, 0) / heard.length
  })
  return { level, scatter: new Float32Array(bandCount).fill(otherScatter), weight: 1 }
}

/** How far a frame has risen from the floor to the pump, 0 to 1, in the bands in which the pump is heard as it starts. */
export function riseOf(bands: Float32Array, floor: Floor, { pump: [start] }: PumpModel): number {
  if (start === undefined) return 0
  let [sum, count] = [0, 0]
  for (let b = 0; b < bandCount; b++) {
    const height = (start.level[b] ?? 0) - (floor.level[b] ?? 0)
    if (start.level[b] === hidden || height < 3) continue
    sum += Math.min(1, Math.max(0, ((bands[b] ?? 0) - (floor.level[b] ?? 0)) / height))
    count++
  }
  return count === 0 ? 0 : sum / count
}
