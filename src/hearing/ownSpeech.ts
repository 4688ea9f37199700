/** When the tool itself was speaking, so that it does not obey itself. Times are the audio context's, in seconds. */
export interface OwnSpeech {
  begin(at: number): void
  end(at: number): void
  /** Whether any of a stretch of time lies in the tool's own speech. */
  overlaps(onset: number, end: number): boolean
}

/** Stretches remembered; an utterance that is still being recognised is not older than the last few. */
const remembered = 20

/** @param echo seconds from the end of a sentence until its echo has died away */
export function createOwnSpeech(echo: number): OwnSpeech {
  const stretches: { from: number; until: number }[] = []
  return {
    begin(at) {
      stretches.push({ from: at, until: Infinity })
      if (stretches.length > remembered) stretches.shift()
    },
    end(at) {
      const last = stretches.at(-1)
      if (last) last.until = at + echo
    },
    overlaps: (onset, end) => stretches.some(({ from, until }) => onset < until && end > from),
  }
}
