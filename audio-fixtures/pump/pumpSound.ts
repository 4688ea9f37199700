import { sampleRate } from '../wav.ts'
import { noise, noiseAround, ring } from './filters.ts'
import { pressureAt, type Load, type Machine } from './machine.ts'

type Random = () => number

/** A stretch in which the pump has power, seconds from the beginning of the sound. */
export interface Run {
  onset: number
  end: number
}

/**
 * What a machine's pump sounds like in a stretch of time. Its level is near 1 while it works against a shot.
 *
 * @param load 'none' for a flush: the water meets no coffee
 */
export function pumpSound(
  machine: Machine,
  runs: readonly Run[],
  load: Load | 'none',
  seconds: number,
  random: Random,
): Float32Array {
  const length = Math.round(seconds * sampleRate)
  const power = new Float32Array(length)
  for (const { onset, end } of runs)
    power.fill(1, Math.round(onset * sampleRate), Math.round(end * sampleRate))
  const first = runs[0]?.onset ?? 0
  const pressure = (at: number) => pressureAt(Math.max(0, at / sampleRate - first), load)
  const sound =
    machine.kind === 'vibration'
      ? vibration(machine, power, pressure, random)
      : rotary(machine, power, pressure, random)
  const last = runs.at(-1)
  if (last !== undefined && load !== 'none') addRelief(sound, machine, last.end, random)
  return sound
}

type Pressure = (sample: number) => number

/** One blow each period of the mains: the spring's stroke, softer and slower against pressure, through the casing. */
function vibration(machine: Machine, power: Float32Array, pressure: Pressure, random: Random): Float32Array {
  const length = power.length
  const blows = new Float32Array(length)
  // the grid wanders by some hundredths of a hertz (ENTSO-E: 50 Hz ± 0.05 in normal operation)
  const mains = machine.mains * (1 + 0.001 * (2 * random() - 1))
  let strength = 0
  for (let at = random() * (sampleRate / mains); at < length - 1; at += sampleRate / mains) {
    // the piston swings in within a few strokes and stops within one
    strength = (power[Math.floor(at)] ?? 0) * (strength + 0.5 * (1 - strength))
    const load = pressure(at)
    const blow = strength * (1 - 0.45 * load) * (1 + 0.06 * (2 * random() - 1))
    // the return blow against the stop comes earlier the higher the pressure: the stroke is shorter
    hit(blows, at + 0.0001 * sampleRate * random(), blow)
    hit(blows, at + (0.45 - 0.15 * load) * (sampleRate / mains), -0.5 * blow)
  }
  const sound = new Float32Array(length)
  for (const mode of machine.modes) ring(sound, blows, mode)
  // the solenoid itself: half waves pull with the square of the current
  const turn = (2 * Math.PI * mains) / sampleRate
  const level = casingLevel(sound, power)
  const water = noiseAround(machine.flowPitch, length, random)
  for (let i = 0; i < length; i++) {
    const on = power[i] ?? 0
    const current = Math.max(0, Math.sin(turn * i)) ** 2
    const flow = machine.flowNoise * (1 - 0.6 * pressure(i))
    sound[i] = (sound[i] ?? 0) / level + on * (0.5 * (current - 0.25) + flow * (water[i] ?? 0))
  }
  return sound
}

/** The vanes' beat with the motor's speed, the magnets' hum, and noise of the water and the bearings. */
function rotary(
  machine: Extract<Machine, { kind: 'rotary' }>,
  power: Float32Array,
  pressure: Pressure,
  random: Random,
): Float32Array {
  const length = power.length
  const beat = new Float32Array(length)
  const speeds = new Float32Array(length)
  let speed = 0
  let angle = random()
  const unevenness = Array.from({ length: machine.vanes }, () => 1 + 0.25 * (2 * random() - 1))
  for (let i = 0; i < length; i++) {
    const on = power[i] ?? 0
    speed += (on - speed) / ((on > 0 ? machine.runUp : machine.runDown) * sampleRate)
    speeds[i] = speed
    const slip = machine.slip.idle + (machine.slip.full - machine.slip.idle) * pressure(i)
    const before = Math.floor(angle * machine.vanes)
    angle += ((machine.mains / 2) * (1 - slip) * speed) / sampleRate
    const now = Math.floor(angle * machine.vanes)
    // a blow as each vane opens to the pressure side: stronger, the higher the pressure
    if (now !== before) {
      const blow = speed * (0.6 + 0.6 * pressure(i)) * (unevenness[now % machine.vanes] ?? 1)
      hit(beat, i, blow)
    }
  }
  const bearings = noise(length, random)
  for (let i = 0; i < length; i++)
    beat[i] = (beat[i] ?? 0) + 0.03 * (speeds[i] ?? 0) ** 2 * (bearings[i] ?? 0)
  const sound = new Float32Array(length)
  for (const mode of machine.modes) ring(sound, beat, mode)
  const level = casingLevel(sound, power)
  const water = noiseAround(machine.flowPitch, length, random)
  const turn = (2 * Math.PI * 2 * machine.mains) / sampleRate
  for (let i = 0; i < length; i++) {
    const turning = (speeds[i] ?? 0) ** 2
    const hum = Math.sin(turn * i) + 0.4 * Math.sin(2 * turn * i + 1)
    const flow = machine.flowNoise * (1 - 0.3 * pressure(i))
    sound[i] =
      (sound[i] ?? 0) / level + turning * flow * (water[i] ?? 0) + 0.5 * machine.hum * (power[i] ?? 0) * hum
  }
  return sound
}

/** One sharp blow, between two samples where need be. */
function hit(into: Float32Array, at: number, strength: number): void {
  const first = Math.floor(at)
  if (first < 0 || first + 1 >= into.length) return
  const share = at - first
  into[first] = (into[first] ?? 0) + strength * (1 - share)
  into[first + 1] = (into[first + 1] ?? 0) + strength * share
}

/** Root mean square while there is power. */
function casingLevel(sound: Float32Array, power: Float32Array): number {
  let [sum, count] = [0, 0]
  for (let i = 0; i < sound.length; i++)
    if ((power[i] ?? 0) > 0) {
      sum += (sound[i] ?? 0) ** 2
      count++
    }
  return Math.max(1e-9, Math.sqrt(sum / Math.max(1, count)))
}

/** The valve lets the pressure off: a click and a hiss that dies away. */
function addRelief(sound: Float32Array, machine: Machine, at: number, random: Random): void {
  if (machine.relief === 0) return
  const start = Math.round(at * sampleRate)
  const hiss = noiseAround(2800, Math.max(0, Math.min(sampleRate, sound.length - start)), random)
  const fading = 0.1 + 0.15 * random()
  hiss.forEach((sample, i) => {
    sound[start + i] =
      (sound[start + i] ?? 0) + machine.relief * Math.exp(-i / (fading * sampleRate)) * sample
  })
  hit(sound, start, 4 * machine.relief)
}
