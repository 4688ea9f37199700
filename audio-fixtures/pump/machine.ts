import { randomFrom } from '../../src/coffee/random.ts'

/** A resonance of the casing, the drip tray or what stands on it. */
export interface Mode {
  /** Hz */
  pitch: number
  /** how long it rings: quality factor */
  quality: number
  gain: number
}

interface Common {
  name: string
  /** kept for the last measurement: nothing may be tuned on it */
  isHeldOut: boolean
  /** of the mains, Hz */
  mains: 50 | 60
  modes: readonly Mode[]
  /** the water in the pipes, against the beat of the pump */
  flowNoise: number
  /** Hz: where the water's noise lies */
  flowPitch: number
  /** how loud the three-way valve lets the pressure off at the end, against the pump; 0 without a valve */
  relief: number
  /** the pump wets the coffee, rests and goes on, seconds; null on most machines */
  preInfusion: { on: number; off: number } | null
}

/**
 * Two ways to move the water.
 *
 * `vibration`: a spring-loaded piston in a solenoid behind a diode, so one stroke each period of the mains (Ulka and
 * CEME data sheets: "50 Hz, half wave"). Its sound is a train of blows at 50 or 60 Hz with all harmonics, filtered
 * by what it is screwed to.
 *
 * `rotary`: a vane pump on an induction motor. A four-pole motor runs a little below 1500 or 1800 turns a minute,
 * the less the higher the load (slip, any textbook on electrical machines); the vanes pass at that rate times their
 * number; the magnets hum at twice the mains frequency; leakage makes broadband noise (Ivantysyn, Hydrostatic Pumps
 * and Motors, on the sound of positive-displacement pumps).
 */
export type Machine = Common &
  (
    | { kind: 'vibration' }
    | {
        kind: 'rotary'
        vanes: number
        /** share by which the motor is slower than the field, idle and at full pressure */
        slip: { idle: number; full: number }
        /** seconds to come up to speed and to run down */
        runUp: number
        runDown: number
        /** the magnets' hum against the vanes */
        hum: number
      }
  )

/** Invented machines, each drawn from the ranges that the physics allows. The last two of each kind are held out. */
export const machines: readonly Machine[] = (['vibration', 'rotary'] as const).flatMap((kind) =>
  Array.from({ length: 7 }, (_, at) => machine(kind, at)),
)

function machine(kind: Machine['kind'], at: number): Machine {
  const random = randomFrom((kind === 'rotary' ? 700 : 300) + 17 * at).uniform
  const between = (low: number, high: number) => low + (high - low) * random()
  const pitched = (low: number, high: number) => low * (high / low) ** random()
  const common: Common = {
    name: `${kind} ${at + 1}`,
    isHeldOut: at >= 5,
    mains: at % 3 === 2 ? 60 : 50,
    modes: Array.from({ length: 5 + Math.floor(4 * random()) }, () => ({
      pitch: pitched(140, 3500),
      quality: pitched(4, 40),
      gain: between(0.3, 1),
    })),
    flowNoise: kind === 'vibration' ? between(0.05, 0.4) : between(0.2, 0.9),
    flowPitch: pitched(500, 2500),
    relief: random() < 0.75 ? between(0.4, 1.5) : 0,
    preInfusion: at === 3 ? { on: between(1.5, 3), off: between(1.5, 3.5) } : null,
  }
  if (kind === 'vibration') return { ...common, kind }
  return {
    ...common,
    kind,
    vanes: 4 + Math.floor(4 * random()),
    slip: { idle: between(0.008, 0.02), full: between(0.03, 0.07) },
    runUp: between(0.05, 0.15),
    runDown: between(0.08, 0.25),
    hum: between(0.2, 1),
  }
}

/** How hard the coffee is to get through: the share of the pump's full pressure that it ends at. */
export const loads = { fast: 0.35, right: 0.75, choked: 0.98 } as const
export type Load = keyof typeof loads

/**
 * The pressure in a pour as a share of the full one, `at` seconds after the pump began: nothing while the space above the coffee
 * fills, then a rise as the coffee soaks, then a slow fall as it washes out (Darcy's law with a resistance that goes
 * down, as in Fasano and Talamucci, A comprehensive mathematical model for a multispecies flow through ground coffee,
 * SIAM J. Math. Anal. 31, 2000; the seconds are common practice).
 */
export function pressureAt(at: number, load: Load | 'none'): number {
  if (load === 'none') return 0.05
  const soaked = Math.max(0, at - 1.5)
  return loads[load] * (1 - Math.exp(-soaked / 2.2)) * Math.exp(-soaked / 150)
}
