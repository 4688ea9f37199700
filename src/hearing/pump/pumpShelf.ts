import { del, get, set } from 'idb-keyval'
import type { TaughtShot } from './excerpt.ts'

/** Raised when shots that were kept can no longer be read. */
const key = 'pump shots 1'

/** Shots that were learnt from, kept on this device only: how loud each band was, from which no speech can be made again. */
export async function readShots(): Promise<readonly TaughtShot[]> {
  const kept: unknown = await get(key).catch(() => undefined)
  return Array.isArray(kept) ? kept.filter(isShot) : []
}

/** Keeps shots in place of those kept before; none deletes what was kept. */
export async function keepShots(shots: readonly TaughtShot[]): Promise<void> {
  // a store that is full or forbidden costs the lessons of the day, not the day
  await (shots.length === 0 ? del(key) : set(key, shots)).catch(() => undefined)
}

function isShot(value: unknown): value is TaughtShot {
  const shot = value as Partial<TaughtShot> | null
  return shot?.bytes instanceof Uint8Array && typeof shot.onset === 'number' && typeof shot.end === 'number'
}
