/** A word with one of its pronunciations. */
export interface Pronunciation {
  word: string
  phones: readonly string[]
}

/**
 * Reads a lexicon: a word and its phones a line, a variant as `word(2)`. Blank lines and lines that start
 * with `#` or `;;` are skipped.
 *
 * @param phones names that may be used
 * @returns pronunciations sorted by word, each once
 * @throws Error for a line without phones or with a phone that the model lacks
 */
export function readLexicon(text: string, phones: ReadonlySet<string>): Pronunciation[] {
  const found = new Map<string, Pronunciation>()
  text.split('\n').forEach((line, index) => {
    const trimmed = line.trim()
    if (trimmed === '' || trimmed.startsWith('#') || trimmed.startsWith(';;')) return
    const [label = '', ...spelled] = trimmed.split(/\s+/)
    const unknown = spelled.filter((phone) => !phones.has(phone))
    if (spelled.length === 0) throw new Error(`lexicon line ${index + 1}: ${label} has no phones`)
    if (unknown.length > 0) throw new Error(`lexicon line ${index + 1}: no phone ${unknown.join(', ')}`)
    const word = label.replace(/\(\d+\)$/, '')
    found.set(`${word} ${spelled.join(' ')}`, { word, phones: spelled })
  })
  return [...found.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, pronunciation]) => pronunciation)
}
