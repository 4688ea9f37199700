/**
 * The best few paths to each of many places, best first, those with the same words only once. All in flat arrays: they are
 * touched some hundred thousand times a second.
 */
export class Tokens {
  readonly score: Float64Array
  /** the last word behind the path: an index into the search's list of words said, -1 for none */
  readonly link: Int32Array
  /** the frame at which the word under way began */
  readonly onset: Int32Array
  /** the number of the sequence of whole words */
  readonly sequence: Int32Array
  readonly count: Uint8Array
  /** places with a path, in no order */
  readonly active: Int32Array
  activeCount = 0

  constructor(
    places: number,
    readonly width: number,
  ) {
    this.score = new Float64Array(places * width)
    this.link = new Int32Array(places * width)
    this.onset = new Int32Array(places * width)
    this.sequence = new Int32Array(places * width)
    this.count = new Uint8Array(places)
    this.active = new Int32Array(places)
  }

  clear(): void {
    for (let i = 0; i < this.activeCount; i++) this.count[this.active[i] as number] = 0
    this.activeCount = 0
  }

  /** Adds a path to a place if it is among the best. */
  offer(place: number, score: number, link: number, onset: number, sequence: number): void {
    const { width, score: scores, sequence: sequences, count } = this
    const from = place * width
    const used = count[place] as number
    if (used === 0) this.active[this.activeCount++] = place
    else if (used === width && score <= (scores[from + used - 1] as number)) return
    let at = from + used
    for (let i = from; i < from + used; i++) {
      if (sequences[i] !== sequence) continue
      if ((scores[i] as number) >= score) return
      at = i
      break
    }
    if (at === from + used) {
      if (used < width) count[place] = used + 1
      else at--
    }
    while (at > from && (scores[at - 1] as number) < score) {
      scores[at] = scores[at - 1] as number
      this.link[at] = this.link[at - 1] as number
      this.onset[at] = this.onset[at - 1] as number
      sequences[at] = sequences[at - 1] as number
      at--
    }
    scores[at] = score
    this.link[at] = link
    this.onset[at] = onset
    sequences[at] = sequence
  }
}
