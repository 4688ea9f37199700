import * as v from 'valibot'
import type { Lexicon } from '../lexicon.ts'
import type { SpokenCommand } from './commands.ts'
import { beginningOthers, soundingAlike, type Confusable } from './confusable.ts'

/** `accepted.json`: pairs of commands that may sound alike all the same, with the reason. */
const acceptedSchema = v.array(v.strictObject({ one: v.string(), two: v.string(), why: v.string() }))

/** Commands that can be taken for each other and are not accepted, and acceptances that nothing needs. */
export function checkConfusions(
  commands: readonly SpokenCommand[],
  lexicon: Lexicon,
  acceptedFile: unknown,
): string[] {
  const accepted = v.parse(acceptedSchema, acceptedFile)
  const covers = (one: string, two: string) => (pair: Confusable) =>
    (pair.one === one && pair.two === two) || (pair.one === two && pair.two === one)
  const found = [...soundingAlike(commands, lexicon), ...beginningOthers(commands, lexicon)]
  return [
    ...found.filter((pair) => !accepted.some(({ one, two }) => covers(one, two)(pair))).map(describe),
    ...accepted
      .filter(({ one, two }) => !found.some(covers(one, two)))
      .map(({ one, two }) => `accepted.json: "${one}" and "${two}" cannot be confused`),
  ]
}

/** A pair in words. */
export function describe({ kind, one, two, grammars, distance }: Confusable): string {
  const where = `(${[...new Set(grammars)].join(', ')})`
  if (kind === 'begins') return `"${one}" is the beginning of "${two}" ${where}`
  const apart = distance === 0 ? 'the same sounds' : `${distance} phone${distance === 1 ? '' : 's'} apart`
  return `"${one}" and "${two}" are ${apart} ${where}`
}
