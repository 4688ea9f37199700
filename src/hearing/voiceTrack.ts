import { voiceSeconds, type VoiceBeside } from './protocol.ts'

/** Frames remembered: a minute. */
const remembered = 60 / voiceSeconds
/** Seconds around a word that count as its own: the engine's word times are not exact. */
const margin = 0.1

/** Where in a stream voices are and how loud, so that a command can be told from words that fall in the midst of talk. */
export class VoiceTrack {
  #isVoice: boolean[] = []
  #power: number[] = []
  /** the sum over the frame that is not whole yet, and how many samples are in it */
  #sum = 0
  #count = 0
  /** frames that are forgotten */
  #gone = 0

  /**
   * @param threshold how probable speech must be to count, 0 to 1
   * @param frame samples in {@link voiceSeconds}
   */
  constructor(
    private readonly threshold: number,
    private readonly frame: number,
  ) {}

  /** `voice`: how probable speech is in each further frame */
  push(samples: Float32Array, voice: readonly number[]): void {
    for (const sample of samples) {
      this.#sum += sample * sample
      if (++this.#count < this.frame) continue
      this.#power.push(this.#sum)
      this.#sum = this.#count = 0
    }
    for (const probability of voice) this.#isVoice.push(probability >= this.threshold)
    const surplus = Math.min(this.#power.length, this.#isVoice.length) - 2 * remembered
    if (surplus < 0) return
    this.#power.splice(0, remembered)
    this.#isVoice.splice(0, remembered)
    this.#gone += remembered
  }

  /**
   * The frames with a voice in a stretch of the stream, but for those in its words. Everything in seconds since the
   * stream began.
   */
  beside(words: readonly { onset: number; end: number }[], from: number, until: number): VoiceBeside[] {
    const frame = (time: number): number => Math.round(time / voiceSeconds) - this.#gone
    const inWords = words.flatMap(({ onset, end }) =>
      this.#power.slice(Math.max(0, frame(onset)), frame(end)),
    )
    const loudness = inWords.reduce((sum, power) => sum + power, 0) / Math.max(1, inWords.length)
    const found: VoiceBeside[] = []
    for (let i = Math.max(0, frame(from)); i < Math.min(frame(until), this.#power.length); i++) {
      const at = (i + this.#gone + 0.5) * voiceSeconds
      if (!this.#isVoice[i] || words.some(({ onset, end }) => at > onset - margin && at < end + margin))
        continue
      found.push({ at, level: 10 * Math.log10((this.#power[i] ?? 0) / Math.max(loudness, 1e-12)) })
    }
    return found
  }
}
