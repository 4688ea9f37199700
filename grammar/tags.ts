import type { Tagged } from './jsgf/match.ts'

/**
 * How the tags of the grammars are read. grammar/README.md explains the convention to those who write grammars:
 *
 * - `{hand off}`: the intent;
 * - `{into=oat milk}`: a slot; `true`, `false` and numbers are read as such;
 * - `{notches=#}`, `{notches=-#}`: a slot that holds the number said by the tagged words, or its negative;
 * - `{set, setting=speed, change=up}`: several at once;
 * - `{+18}`, `{*100}`, `{.}`: the parts of a number.
 */

export type SlotValue = string | number | boolean

/** What the tags of one sentence say, not yet checked against the contract. */
export interface Reading {
  intent: string
  slots: Record<string, SlotValue>
}

/** A tag that does not keep to the convention. */
export class TagError extends Error {
  override name = 'TagError'
}

const numberPart = /^([+*])(\d+(?:\.\d+)?)$/

/** @throws TagError when there is not exactly one intent, or a slot is said twice, or no number where one is due */
export function readTags(tags: readonly Tagged[]): Reading {
  const intents: string[] = []
  const slots: Record<string, SlotValue> = {}

  const visit = ({ tag, inside }: Tagged): void => {
    inside.forEach(visit)
    if (isNumberPart(tag)) return
    for (const item of tag.split(',')) {
      const [key = '', ...values] = item.split('=').map((part) => part.trim())
      if (key === '' || values.length > 1) throw new TagError(`{${tag}} cannot be read`)
      const [value] = values
      if (value === undefined) intents.push(key)
      else if (key in slots) throw new TagError(`{${tag}}: "${key}" is said twice`)
      else slots[key] = readValue(value, inside)
    }
  }
  tags.forEach(visit)

  const [intent] = intents
  if (intent === undefined) throw new TagError('no intent')
  if (intents.length > 1) throw new TagError(`several intents: ${intents.join(', ')}`)
  return { intent, slots }
}

function readValue(text: string, inside: readonly Tagged[]): SlotValue {
  if (text === '#') return numberIn(inside)
  if (text === '-#') return -numberIn(inside)
  if (text === 'true' || text === 'false') return text === 'true'
  if (/^-?\d+(\.\d+)?$/.test(text)) return Number(text)
  if (text === '') throw new TagError('a slot without a value')
  return text
}

function isNumberPart(tag: string): boolean {
  return tag === '.' || numberPart.test(tag)
}

/** Adds up the parts of a number: twenty {+20} two {+2} point {.} five {+5} is 22.5. */
function numberIn(tags: readonly Tagged[]): number {
  let total = 0
  let decimals: string | undefined
  let said = false

  const visit = ({ tag, inside }: Tagged): void => {
    inside.forEach(visit)
    if (!isNumberPart(tag)) return
    said = true
    const [, operator, digits = ''] = numberPart.exec(tag) ?? []
    if (operator === undefined) decimals = ''
    else if (decimals !== undefined) decimals += digits
    else if (operator === '+') total += Number(digits)
    else total *= Number(digits)
  }
  tags.forEach(visit)
  if (!said) throw new TagError('"#" without a number among the tagged words')
  return decimals ? Number(`${total}.${decimals}`) : total
}
