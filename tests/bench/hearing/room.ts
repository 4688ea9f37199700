import { sampleRate } from '../../../audio-fixtures/wav.ts'

/** A shoebox room; lengths in metres. */
export interface Room {
  size: readonly [number, number, number]
  mouth: readonly [number, number, number]
  microphone: readonly [number, number, number]
  /** what the walls take of the sound's energy at each reflection, 0 to 1 */
  absorption: number
}

/** A small bar with hard walls: the microphone on the counter, the barista a step away. Invented, not measured. */
export const smallBar: Room = {
  size: [6, 4, 2.8],
  mouth: [2.2, 1.5, 1.6],
  microphone: [2.9, 1.9, 1.1],
  absorption: 0.3,
}

const speedOfSound = 343

/**
 * The room's impulse response by the image-source method (Allen and Berkley, Image method for efficiently
 * simulating small-room acoustics, Journal of the Acoustical Society of America 65, 1979), scaled so that the
 * direct sound comes at once and at its own level.
 */
export function impulseResponse({ size, mouth, microphone, absorption }: Room, seconds = 0.5): Float32Array {
  const response = new Float32Array(Math.round(seconds * sampleRate))
  const reflection = Math.sqrt(1 - absorption)
  const direct = Math.hypot(...mouth.map((place, axis) => place - (microphone[axis] ?? 0)))
  const reach = direct + seconds * speedOfSound
  const most = size.map((length) => Math.ceil(reach / (2 * length)))
  const images = (axis: 0 | 1 | 2): { distance: number; bounces: number }[] => {
    const all = []
    for (let n = -(most[axis] ?? 0); n <= (most[axis] ?? 0); n++) {
      for (const mirrored of [0, 1]) {
        const place = (1 - 2 * mirrored) * mouth[axis] + 2 * n * size[axis]
        all.push({ distance: place - microphone[axis], bounces: Math.abs(n - mirrored) + Math.abs(n) })
      }
    }
    return all
  }
  for (const x of images(0)) {
    for (const y of images(1)) {
      for (const z of images(2)) {
        const distance = Math.hypot(x.distance, y.distance, z.distance)
        const at = Math.round(((distance - direct) / speedOfSound) * sampleRate)
        if (at >= response.length) continue
        response[at] =
          (response[at] ?? 0) + (reflection ** (x.bounces + y.bounces + z.bounces) * direct) / distance
      }
    }
  }
  return response
}

/** Speech as it sounds in the room, as long as the speech and its echo. */
export function inRoom(samples: Float32Array, response: Float32Array): Float32Array {
  const taps = [...response.entries()].filter(([, gain]) => Math.abs(gain) > 1e-4)
  const heard = new Float32Array(samples.length + response.length)
  for (const [delay, gain] of taps) {
    for (let i = 0; i < samples.length; i++)
      heard[i + delay] = (heard[i + delay] ?? 0) + gain * (samples[i] ?? 0)
  }
  return heard
}
