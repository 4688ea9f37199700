import type { BarClock } from '../messages/clock.ts'

/**
 * The bar clock on an audio context. The wall is read once; from then on the audio clock alone advances.
 *
 * @param notBefore bar time of the last thing known to have happened: a wall clock set back since then must not
 *   make time run backwards
 */
export function createBarClock(context: AudioContext, notBefore = 0): BarClock {
  const offset = Math.max(Date.now() / 1000, notBefore) - context.currentTime
  return {
    now: () => context.currentTime + offset,
    toAudio: (barTime) => barTime - offset,
    toBar: (audioTime) => audioTime + offset,
  }
}
