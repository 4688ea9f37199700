/** How words are pronounced: for each, one or more pronunciations of ARPAbet phones. */
export type Lexicon = ReadonlyMap<string, readonly (readonly string[])[]>

/** The phones of the CMU Pronouncing Dictionary, without stress marks. */
export const phones =
  'AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH'.split(
    ' ',
  )

/**
 * Reads a dictionary: a word and its phones a line, a further pronunciation as `word(2)`, comments after `;;`.
 * @throws Error with the line of an unknown phone, a word without phones or a pronunciation given twice
 */
export function parseLexicon(text: string, file: string): Lexicon {
  const lexicon = new Map<string, string[][]>()
  text.split('\n').forEach((line, index) => {
    const [head, ...pronunciation] = line.replace(/;;.*/, '').split(/\s+/).filter(Boolean)
    if (head === undefined) return
    const fail = (problem: string) => new Error(`${file}:${index + 1}: ${problem}`)
    const word = head.replace(/\(\d+\)$/, '')
    const unknown = pronunciation.find((phone) => !phones.includes(phone))
    if (unknown !== undefined) throw fail(`"${unknown}" is not a phone`)
    if (pronunciation.length === 0) throw fail(`"${word}" has no phones`)
    const known = lexicon.get(word) ?? []
    if (known.some((other) => other.join(' ') === pronunciation.join(' ')))
      throw fail(`"${word}" is given twice`)
    lexicon.set(word, [...known, pronunciation])
  })
  return lexicon
}
