import type screen from '../../../grammar/en/screen.json'
import type { SentenceId, SentenceValues } from '../../messages/cue.ts'
import { loadLanguage } from '../../speaking/language.ts'
import { wordSentence } from '../../speaking/wording.ts'

/** Key of a text in `grammar/<language>/screen.json`. */
export type ScreenKey = keyof typeof screen

/** Everything a person reads, in one language. */
export interface Words {
  /** the language's code, for `lang` and for numbers */
  readonly language: string
  /** a text of the screen, with its placeholders filled in */
  (key: ScreenKey, values?: Readonly<Record<string, number | string>>): string
  /** what the announcer says, as text */
  sentence(sentence: SentenceId, values?: SentenceValues): string
  /** a number as it is written, with so many decimals at most */
  number(value: number, decimals?: number): string
  /** a bar time as a day, short */
  day(seconds: number): string
  /** a bar time as a time of day */
  timeOfDay(seconds: number, toTheSecond?: boolean): string
}

const files = import.meta.glob<Record<string, string>>('../../../grammar/*/screen.json', {
  import: 'default',
})

/** The languages that are built in. */
export const languages: readonly string[] = Object.keys(files).map((path) => path.split('/').at(-2) ?? '')

/** The built-in language that suits a person best, by the browser's list; the first when none does. */
export function preferredLanguage(wanted: readonly string[], built: readonly string[] = languages): string {
  const codes = wanted.map((tag) => tag.slice(0, 2).toLowerCase())
  return codes.find((code) => built.includes(code)) ?? built[0] ?? 'en'
}

const rememberedAs = 'earshot language'

/** Keeps the language chosen in the settings where the next start finds it, before the log is open. */
export function rememberLanguage(code: string): void {
  try {
    localStorage.setItem(rememberedAs, code)
  } catch {
    // a window that keeps nothing begins in the browser's language
  }
}

/** The language to start in: the one chosen, else the one that suits the browser. */
export function startLanguage(): string {
  let remembered = ''
  try {
    remembered = localStorage.getItem(rememberedAs) ?? ''
  } catch {
    // a window that keeps nothing
  }
  return preferredLanguage([remembered, ...navigator.languages])
}

/** @throws {RangeError} when there is no such language */
export async function loadWords(code: string): Promise<Words> {
  const texts = await files[`../../../grammar/${code}/screen.json`]?.()
  if (!texts) throw new RangeError(`no screen texts in language "${code}"`)
  return createWords(code, texts, await loadLanguage(code))
}

/** Texts of a language that is loaded. */
export function createWords(
  language: string,
  texts: Readonly<Record<string, string>>,
  spoken: Parameters<typeof wordSentence>[0],
): Words {
  const number = (value: number, decimals = 1) =>
    // not "-0"
    new Intl.NumberFormat(language, { maximumFractionDigits: decimals, signDisplay: 'negative' }).format(
      value,
    )
  const clock = new Intl.DateTimeFormat(language, { hour: 'numeric', minute: '2-digit' })
  const days = new Intl.DateTimeFormat(language, { day: 'numeric', month: 'short' })
  const exactClock = new Intl.DateTimeFormat(language, { timeStyle: 'medium' })
  const plurals = new Intl.PluralRules(language)
  /** the text for the first number among the values: `chart.image.one` beside `chart.image` */
  const textFor = (key: ScreenKey, values: Readonly<Record<string, number | string>>) => {
    const first = Object.values(values).find((value) => typeof value === 'number')
    return (typeof first === 'number' && texts[`${key}.${plurals.select(first)}`]) || (texts[key] ?? key)
  }
  const words = (key: ScreenKey, values: Readonly<Record<string, number | string>> = {}) =>
    textFor(key, values).replace(/\{(\w+)\}/g, (placeholder, name: string) => {
      const value = values[name] ?? placeholder
      return typeof value === 'number' ? number(value) : value
    })
  return Object.assign(words, {
    language,
    number,
    sentence: (sentence: SentenceId, values: SentenceValues = {}) =>
      wordSentence(spoken, sentence, values, { detail: 'long', digits: false, spelled: false }).text,
    day: (seconds: number) => days.format(new Date(seconds * 1000)),
    timeOfDay: (seconds: number, toTheSecond = false) =>
      (toTheSecond ? exactClock : clock).format(new Date(seconds * 1000)),
  })
}
