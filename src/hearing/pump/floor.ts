import { bandCount } from './bands.ts'

/** How fast the floor moves, dB a frame; its rank among the levels heard. */
const step = 0.15
const rank = 0.4
/** limits of the floor's own scatter, dB */
const leastScatter = 2
const mostScatter = 5

/**
 * The level of the room in each band while no pump runs: a low rank of what is heard, followed by stochastic
 * approximation (Robbins and Monro, 1951; ranks as a noise floor: Stahl, Fischer and Bippus, Quantile based noise
 * estimation for spectral subtraction, ICASSP 2000). Talk goes past it; a fan that starts is in it after some seconds.
 */
export interface Floor {
  level: Float32Array
  scatter: Float32Array
  isNew: boolean
}

export const newFloor = (): Floor => ({
  level: new Float32Array(bandCount),
  scatter: new Float32Array(bandCount).fill(3),
  isNew: true,
})

/** Takes a frame without a pump into account. */
export function followFloor(floor: Floor, bands: Float32Array): void {
  if (floor.isNew) {
    floor.level.set(bands)
    floor.isNew = false
    return
  }
  for (let b = 0; b < bandCount; b++) {
    const above = (bands[b] as number) - (floor.level[b] as number)
    floor.level[b] = (floor.level[b] as number) + step * (above < 0 ? rank - 1 : rank)
    const size = Math.min(8, 1.25 * Math.abs(above))
    const scatter = (floor.scatter[b] as number) + 0.01 * (size - (floor.scatter[b] as number))
    floor.scatter[b] = Math.min(mostScatter, Math.max(leastScatter, scatter))
  }
}
