/** Gives every sequence of words a number, so that two paths with the same words are known as such at once. Number 0 is no words. */
export class WordSequences {
  readonly #numbers = new Map<number, number>()
  #count = 1

  constructor(private readonly words: number) {}

  /** the number of a sequence with one more word behind it */
  extended(sequence: number, word: number): number {
    const key = sequence * this.words + word
    const known = this.#numbers.get(key)
    if (known !== undefined) return known
    this.#numbers.set(key, this.#count)
    return this.#count++
  }

  clear(): void {
    this.#numbers.clear()
    this.#count = 1
  }
}
