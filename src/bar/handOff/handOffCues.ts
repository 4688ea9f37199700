import type { Cue } from '../../messages/cue.ts'

/** One cup's clock: when the pour ended, how long the shot may wait, and which voice it warns with. */
export interface HandOffClock {
  shot: string
  /** order among the clocks that run, from 1; also the pitch and rhythm of its sounds */
  voice: number
  /** end of the pour, bar clock */
  start: number
  /** seconds until it has expired; 10 is common practice */
  limit: number
}

/** Seconds before the limit at which the warning starts to rise. */
export const warningFrom = 5

/**
 * Seconds after the limit before the clock is called expired. A word spoken in time is still being recognised
 * when the limit sounds; its onset decides, so judgement waits for it.
 */
export const recognitionGrace = 1.5

export const handOffTag = (clock: HandOffClock) => `hand-off ${clock.shot} ${clock.voice}`

/** Beats before the limit, in seconds: closer together as it nears. */
const beats = [5, 4, 3, 2, 1.5, 1, 0.75, 0.5, 0.25]

/**
 * All that a clock will sound from `now` on, each at its own bar time: beats that come closer, the word with
 * five seconds left, the limit sound.
 */
export function handOffCues(clock: HandOffClock, now: number, several: boolean): Cue[] {
  const tag = handOffTag(clock)
  const end = clock.start + clock.limit
  const cues: Cue[] = [
    ...beats.map((left): Cue => ({
      kind: 'earcon',
      earcon: 'warning',
      at: end - left,
      voice: clock.voice,
      tag,
    })),
    { kind: 'earcon', earcon: 'limit', at: end, voice: clock.voice, tag },
    several
      ? {
          kind: 'say',
          sentence: 'handoff.warning.cup',
          values: { cup: cupWord(clock.voice) },
          priority: 'warning',
          at: end - warningFrom,
          expires: end - warningFrom + 1.5,
          tag,
        }
      : {
          kind: 'say',
          sentence: 'handoff.warning',
          priority: 'warning',
          at: end - warningFrom,
          expires: end - warningFrom + 1.5,
          tag,
        },
  ]
  return cues.filter((cue) => 'at' in cue && cue.at !== undefined && cue.at >= now)
}

/** The word for a cup by its order; the fourth and later are called "last". */
export function cupWord(voice: number) {
  return voice === 1 ? 'word.first' : voice === 2 ? 'word.second' : voice === 3 ? 'word.third' : 'word.last'
}
