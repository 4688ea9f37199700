/** The words numbers are made of, `grammar/<language>/numbers.json`: "0" to "99", hundred, and, point, minus. */
export type NumberTable = Readonly<Record<string, string>>

/** The largest number that is read out; nothing at an espresso bar is larger. */
const largestNumber = 999

function word(table: NumberTable, key: string): string {
  const found = table[key]
  if (found === undefined) throw new RangeError(`the number table has no word for ${key}`)
  return found
}

/** A number as it is written: at most two decimals, no trailing zeros. */
export function writeNumber(value: number): string {
  if (!Number.isFinite(value) || Math.abs(value) > largestNumber)
    throw new RangeError(`cannot read out ${value}: numbers from -${largestNumber} to ${largestNumber} are`)
  return String(Number(value.toFixed(2)))
}

/**
 * A number as phrases, each of which is a recording of its own: 18.2 is "eighteen" and "point two", 105 is
 * "one hundred and" and "five".
 *
 * @param value -999 to 999; read to two decimals
 * @throws {RangeError} naming the value when it is out of range or not a number
 */
export function numberPhrases(table: NumberTable, value: number): string[] {
  const written = writeNumber(value)
  const [whole = '0', decimals = ''] = written.replace('-', '').split('.')
  const hundreds = Math.floor(Number(whole) / 100)
  const rest = Number(whole) % 100
  const phrases: string[] = []
  if (written.startsWith('-')) phrases.push(word(table, 'minus'))
  if (hundreds > 0) phrases.push(hundredPhrase(table, hundreds, rest > 0))
  if (hundreds === 0 || rest > 0) phrases.push(word(table, String(rest)))
  const [tenth, ...further] = decimals
  if (tenth !== undefined) phrases.push(pointPhrase(table, tenth))
  return [...phrases, ...further.map((digit) => word(table, digit))]
}

/** A number sign by sign, for `spell it` and for those who want digits: 18.2 is "one", "eight", "point", "two". */
export function digitPhrases(table: NumberTable, value: number): string[] {
  return [...writeNumber(value)].map((sign) =>
    word(table, sign === '-' ? 'minus' : sign === '.' ? 'point' : sign),
  )
}

/** Every phrase that {@link numberPhrases} and {@link digitPhrases} can ask for. */
export function everyNumberPhrase(table: NumberTable): string[] {
  const digits = Array.from({ length: 10 }, (_, digit) => String(digit))
  return [
    ...Array.from({ length: 100 }, (_, number) => word(table, String(number))),
    ...digits
      .slice(1)
      .flatMap((digit) => [false, true].map((and) => hundredPhrase(table, Number(digit), and))),
    ...digits.map((digit) => pointPhrase(table, digit)),
    word(table, 'point'),
    word(table, 'minus'),
  ]
}

function hundredPhrase(table: NumberTable, hundreds: number, and: boolean) {
  const phrase = `${word(table, String(hundreds))} ${word(table, 'hundred')}`
  return and ? `${phrase} ${word(table, 'and')}` : phrase
}

function pointPhrase(table: NumberTable, digit: string) {
  return `${word(table, 'point')} ${word(table, digit)}`
}
