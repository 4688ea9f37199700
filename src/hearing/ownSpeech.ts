/** When the tool itself was speaking, so that it does not obey itself. Times are the audio context's, in seconds. */
export interface OwnSpeech {
  begin(at: number): void
  /** What is spoken now holds commands: to the end of this stretch of speech. */
  teach(): void
  end(at: number): void
  /** Whether any of a stretch of time lies in the tool's own speech, and in which kind. */
  overlaps(onset: number, end: number): 'no' | 'plain' | 'teaching'
}

/** Stretches remembered; an utterance that is still being recognised is not older than the last few. */
const remembered = 20

/** @param echo seconds from the end of a sentence until its echo has died away */
export function createOwnSpeech(echo: number): OwnSpeech {
  const stretches: { from: number; until: number; isTeaching: boolean }[] = []
  return {
    begin(at) {
      stretches.push({ from: at, until: Infinity, isTeaching: false })
      if (stretches.length > remembered) stretches.shift()
    },
    teach() {
      const last = stretches.at(-1)
      if (last) last.isTeaching = true
    },
    end(at) {
      const last = stretches.at(-1)
      if (last) last.until = at + echo
    },
    overlaps(onset, end) {
      const over = stretches.filter(({ from, until }) => onset < until && end > from)
      if (over.length === 0) return 'no'
      return over.some(({ isTeaching }) => isTeaching) ? 'teaching' : 'plain'
    },
  }
}
