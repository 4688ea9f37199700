import type { Cue } from '../messages/cue.ts'

export type Flow = Extract<Cue, { kind: 'pour sound' }>['flow']

/** How a pour sounds: a stream is noise in a band, drips are short tones on top of little of it. */
interface FlowSound {
  /** root mean square of the steady noise, full scale 1 */
  stream: number
  /** centre of the noise in hertz: a thin stream is brighter, a gush is broad and low */
  centre: number
  /** drips a second */
  drips: number
}

const flows: Record<Flow, FlowSound> = {
  dripping: { stream: 0.0012, centre: 900, drips: 3 },
  right: { stream: 0.012, centre: 1400, drips: 0 },
  gushing: { stream: 0.036, centre: 600, drips: 0 },
}

const dripLevel = 0.12
const dripSeconds = 0.05

/** Seconds after which the sound repeats. */
const pourLoopSeconds = 2

/** Noise that is the same every time: Numerical Recipes' quick linear congruential generator. */
function noise(): () => number {
  let state = 12345
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 31 - 1
  }
}

/**
 * A pour of the simulated bench: slow drips, a steady stream, or a gush. {@link pourLoopSeconds} long, made to be
 * repeated without a seam. Samples in -1..1.
 */
export function renderPour(flow: Flow, sampleRate: number): Float32Array {
  const sound = flows[flow]
  const length = Math.round(pourLoopSeconds * sampleRate)
  const stream = bandNoise(sound.centre, length, sampleRate)
  const output = stream.map((sample) => sample * sound.stream)
  const random = noise()
  const count = Math.round(sound.drips * pourLoopSeconds)
  for (let drip = 0; drip < count; drip++) {
    const start = Math.round(((drip + 0.3 * random()) / count) * length) + length
    const pitch = 700 + 250 * random()
    for (let index = 0; index < dripSeconds * sampleRate; index++) {
      const time = index / sampleRate
      const at = (start + index) % length
      const fall = Math.exp(-time / 0.012) * Math.min(1, time / 0.002)
      output[at] =
        (output[at] ?? 0) + dripLevel * fall * Math.sin(2 * Math.PI * pitch * time * (1 + 4 * time))
    }
  }
  return output
}

/** Noise through a resonator one octave wide, run round the loop twice so that its end meets its start. Root mean square 1. */
function bandNoise(centre: number, length: number, sampleRate: number): Float32Array {
  const random = noise()
  const input = Float32Array.from({ length }, random)
  const radius = Math.exp((-Math.PI * centre * 0.7) / sampleRate)
  const feedback = 2 * radius * Math.cos((2 * Math.PI * centre) / sampleRate)
  const output = new Float32Array(length)
  let [last, before] = [0, 0]
  for (let index = 0; index < 2 * length; index++) {
    const next = (input[index % length] ?? 0) + feedback * last - radius * radius * before
    ;[before, last] = [last, next]
    output[index % length] = next
  }
  const level = Math.sqrt(output.reduce((sum, sample) => sum + sample ** 2, 0) / length)
  return output.map((sample) => sample / level)
}
