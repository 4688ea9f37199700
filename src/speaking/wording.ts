import {
  digitPhrases,
  everyNumberPhrase,
  numberPhrases,
  writeNumber,
  type NumberTable,
} from './numberWords.ts'

/** A sentence as it stands in the sentence file: one text, or one for a trainee and one for a regular. */
export type SentenceText = string | Readonly<{ long: string; short: string }>

/** All that is needed to word a sentence in one language. */
export interface Language {
  /** its folder under `grammar/` */
  name: string
  sentences: Readonly<Record<string, SentenceText>>
  numbers: NumberTable
}

/** All that has to be recorded in one language. */
export interface RecordedLanguage extends Language {
  /** the words of its grammars, which may be read out one by one */
  vocabulary: readonly string[]
}

/** What is played one after the other: recordings, named by the text they speak, and silences in seconds. */
export type Part = { phrase: string } | { pause: number }

/** A sentence ready to be shown and played. */
export interface Wording {
  text: string
  parts: readonly Part[]
}

export interface WordingOptions {
  detail: 'long' | 'short'
  /** read numbers digit by digit */
  digits: boolean
  /** numbers digit by digit and words letter by letter */
  spelled: boolean
}

/** A sentence that cannot be worded: it is missing, lacks a value, or was given one that cannot be read out. */
export class WordingError extends Error {
  readonly sentence: string
  constructor(sentence: string, problem: string) {
    super(`sentence "${sentence}": ${problem}`)
    this.name = 'WordingError'
    this.sentence = sentence
  }
}

type Piece = { kind: 'text'; text: string } | { kind: 'value'; name: string }

/** Cuts a sentence at its placeholders: "{grams} grams." is a value and a text. */
export function splitSentence(sentence: string): Piece[] {
  return sentence
    .split(/(\{[^{}]*\})/)
    .filter((part) => part !== '')
    .map((part) =>
      part.startsWith('{') ? { kind: 'value', name: part.slice(1, -1) } : { kind: 'text', text: part },
    )
}

/** Silence for a stop between two recordings, in seconds: as long as the synthesiser makes it inside one. */
const pauses: readonly [RegExp, number][] = [
  [/[.!?]/, 0.35],
  [/[:;]/, 0.25],
  [/,/, 0.15],
]

/** Silence between spelled letters and digits, in seconds. */
const spellingPause = 0.15

/** Silence between the words of a list, in seconds: each stands for itself. */
const listPause = 0.35

function pauseFor(stops: string): Part[] {
  const pause = pauses.find(([stop]) => stop.test(stops))
  return pause ? [{ pause: pause[1] }] : []
}

/** The recording of a text and the silences its outer stops ask for. */
function textParts(text: string): { before: Part[]; phrase: string; after: Part[] } {
  const [, before = '', phrase = '', after = ''] = /^([\s.,:;!?]*)(.*?)([\s.,:;!?]*)$/s.exec(text) ?? []
  return {
    before: pauseFor(before),
    phrase: phrase.replace(/\s+/g, ' '),
    after: phrase ? pauseFor(after) : [],
  }
}

/**
 * The key of the sentence that suits its first number: "report.shots.one" beside "report.shots" for one shot. Which
 * numbers have a form of their own is known of every language (Unicode's plural rules).
 */
function numbered(
  language: Language,
  sentence: string,
  values: Readonly<Record<string, number | string | readonly string[]>>,
): string {
  const first = Object.values(values).find((value) => typeof value === 'number')
  if (typeof first !== 'number') return sentence
  const key = `${sentence}.${new Intl.PluralRules(language.name).select(first)}`
  return key in language.sentences ? key : sentence
}

/** The sentence's text in the wanted detail. */
function sentenceText(language: Language, sentence: string, detail: 'long' | 'short'): string {
  const found = language.sentences[sentence]
  if (found === undefined) throw new WordingError(sentence, `there is no such sentence in ${language.name}`)
  return typeof found === 'string' ? found : found[detail]
}

/**
 * Puts values into a sentence: what is shown, and what is played.
 *
 * @throws {WordingError} for a sentence or a value that does not exist or cannot be read out
 */
export function wordSentence(
  language: Language,
  sentence: string,
  values: Readonly<Record<string, number | string | readonly string[]>>,
  options: WordingOptions,
): Wording {
  let text = ''
  const parts: Part[] = []
  for (const piece of splitSentence(
    sentenceText(language, numbered(language, sentence, values), options.detail),
  )) {
    if (piece.kind === 'text') {
      const { before, phrase, after } = textParts(piece.text)
      text += piece.text
      parts.push(...before, ...(phrase ? [{ phrase }] : []), ...after)
    } else {
      const value = values[piece.name]
      if (value === undefined) throw new WordingError(sentence, `no value for {${piece.name}}`)
      const worded =
        typeof value === 'number'
          ? wordNumber(language, sentence, value, options)
          : typeof value === 'string'
            ? wordWord(language, value, options)
            : wordList(language, value, options)
      text += worded.text
      parts.push(...worded.parts)
    }
  }
  const trailing = parts.at(-1)
  if (trailing && 'pause' in trailing) parts.pop()
  if (parts[0] && 'pause' in parts[0]) parts.shift()
  return { text: text.charAt(0).toLocaleUpperCase(language.name) + text.slice(1), parts }
}

function wordNumber(language: Language, sentence: string, value: number, options: WordingOptions): Wording {
  try {
    const text = writeNumber(value)
    return options.spelled || options.digits
      ? { text, parts: spaced(digitPhrases(language.numbers, value)) }
      : { text, parts: numberPhrases(language.numbers, value).map((phrase) => ({ phrase })) }
  } catch (error) {
    throw error instanceof RangeError ? new WordingError(sentence, error.message) : error
  }
}

/** A word is a sentence of its own, without placeholders, that stands inside another. */
function wordWord(language: Language, word: string, options: WordingOptions): Wording {
  const text = sentenceText(language, word, options.detail)
  if (splitSentence(text).some((piece) => piece.kind === 'value'))
    throw new WordingError(word, 'it has values of its own, so it cannot stand inside another sentence')
  const { phrase } = textParts(text)
  if (options.spelled) return { text, parts: spaced(letters(language, phrase)) }
  return { text, parts: phrase ? [{ phrase }] : [] }
}

function wordList(language: Language, words: readonly string[], options: WordingOptions): Wording {
  const spoken = words.map((word) =>
    options.spelled ? spaced(letters(language, word)) : word.split(' ').map((phrase) => ({ phrase })),
  )
  return { text: words.join(', '), parts: joined(spoken, listPause) }
}

function letters(language: Language, word: string): string[] {
  return [...word]
    .filter((letter) => /\p{L}/u.test(letter))
    .map((letter) => letter.toLocaleUpperCase(language.name))
}

function spaced(phrases: readonly string[]): Part[] {
  return joined(
    phrases.map((phrase) => [{ phrase }]),
    spellingPause,
  )
}

function joined(pieces: readonly (readonly Part[])[], pause: number): Part[] {
  return pieces.flatMap((piece, index) => (index === 0 ? piece : [{ pause }, ...piece]))
}

/** Every phrase a language can ask for: what has to be recorded. Sorted, each once. */
export function everyPhrase(language: RecordedLanguage): string[] {
  const texts = Object.values(language.sentences).flatMap((text) =>
    typeof text === 'string' ? [text] : [text.long, text.short],
  )
  const phrases = new Set([
    ...everyNumberPhrase(language.numbers),
    ...texts
      .flatMap(splitSentence)
      .flatMap((piece) => (piece.kind === 'text' ? [textParts(piece.text).phrase] : [])),
    ...language.vocabulary,
    ...[...texts, ...language.vocabulary].flatMap((text) => letters(language, text)),
  ])
  phrases.delete('')
  return [...phrases].sort()
}
