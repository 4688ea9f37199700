import type { Lexicon } from '../../../grammar/lexicon.ts'

/** Prices of talk, natural logarithms. What costs more makes talk less likely and commands more. */
export interface TalkPrices {
  /** each known word */
  word: number
  /** each stretch of phones that is no known word, and each phone in it beside its bigram's own price */
  unknown: number
  phone: number
}

/**
 * What talk is made of: known words, each at a price, and stretches of phones by a bigram of phones. Its best path is what a
 * command is compared with.
 */
export interface TalkModel {
  phones: number
  /** chain states of the known words; the last of each ends it */
  phoneOf: Uint8Array
  isLast: Uint8Array
  /** the first state of each chain */
  entries: Int32Array
  wordPrice: number
  /** natural logarithms: of beginning a stretch with a phone; of phone q after phone p at [p * phones + q]; of ending after a phone */
  begin: Float64Array
  follow: Float64Array
  end: Float64Array
}

/** Added to every count, as a share of what is expected of chance: no pair of phones is impossible. */
const smoothing = 20

/**
 * @param lexicon the words that talk is made of; their pronunciations are also what the bigram is counted on
 * @param phones names of the phones in the order of the network's outputs, silence first
 */
export function talkModel(lexicon: Lexicon, phones: readonly string[], prices: TalkPrices): TalkModel {
  const count = phones.length
  const phoneNumber = new Map(phones.map((phone, index) => [phone, index]))
  const distinct = new Map<string, number[]>()
  for (const pronunciations of lexicon.values())
    for (const pronunciation of pronunciations) {
      const numbers = pronunciation.map((phone) => phoneNumber.get(phone) ?? -1)
      if (numbers.includes(-1)) throw new Error(`the network lacks a phone of ${pronunciation.join(' ')}`)
      distinct.set(numbers.join(), numbers)
    }

  // place 0, silence's own, stands for the edge of a word
  const pairs = new Float64Array(count * count)
  const singles = new Float64Array(count)
  for (const chain of distinct.values()) {
    const round = [0, ...chain, 0]
    for (let i = 0; i + 1 < round.length; i++) {
      const [p, q] = [round[i] ?? 0, round[i + 1] ?? 0]
      pairs[p * count + q] = (pairs[p * count + q] ?? 0) + 1
      singles[q] = (singles[q] ?? 0) + 1
    }
  }
  const all = singles.reduce((sum, single) => sum + single, 0)
  const logarithm = (p: number, q: number): number => {
    const chance = ((singles[q] ?? 0) + 1) / (all + count)
    return Math.log(((pairs[p * count + q] ?? 0) + smoothing * chance) / ((singles[p] ?? 0) + smoothing))
  }
  const perPhone = (p: number, q: number): number => (q === 0 ? -Infinity : logarithm(p, q) - prices.phone)

  const chains = [...distinct.values()]
  let next = 0
  return {
    phones: count,
    phoneOf: Uint8Array.from(chains.flat()),
    isLast: Uint8Array.from(chains.flatMap((chain) => chain.map((_, i) => (i === chain.length - 1 ? 1 : 0)))),
    entries: Int32Array.from(chains, ({ length }) => (next += length) - length),
    wordPrice: prices.word,
    begin: Float64Array.from({ length: count }, (_, q) => perPhone(0, q) - prices.unknown),
    follow: Float64Array.from({ length: count * count }, (_, i) =>
      perPhone(Math.floor(i / count), i % count),
    ),
    end: Float64Array.from({ length: count }, (_, p) => logarithm(p, 0)),
  }
}
