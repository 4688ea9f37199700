import type { BarClock } from '../../messages/clock.ts'

/**
 * The bar clock on an audio context. The wall is read once; from then on the audio clock alone advances, but for
 * the time in which the system holds the sound, a call say: the audio clock stands still then, and what is missing
 * is made up from the system's own steady clock.
 *
 * @param notBefore bar time of the last thing known to have happened: a wall clock set back since then must not
 *   make time run backwards
 */
export function createBarClock(context: AudioContext, notBefore = 0): BarClock {
  let offset = Math.max(Date.now() / 1000, notBefore) - context.currentTime
  let held: { since: number; audio: number } | null = null
  const steady = () => performance.now() / 1000
  context.addEventListener('statechange', () => {
    if (context.state !== 'running') held ??= { since: steady(), audio: context.currentTime }
    else if (held) {
      offset += Math.max(0, steady() - held.since - (context.currentTime - held.audio))
      held = null
    }
  })
  return {
    now: () =>
      held ? held.audio + offset + Math.max(0, steady() - held.since) : context.currentTime + offset,
    toAudio: (barTime) => barTime - offset,
    toBar: (audioTime) => audioTime + offset,
  }
}
