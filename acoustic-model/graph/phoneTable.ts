import { wordPositions, type WordPosition } from './wordPosition.ts'

const boundaryNames: Readonly<Record<WordPosition, string>> = {
  begin: 'begin',
  internal: 'internal',
  end: 'end',
  single: 'singleton',
}

/**
 * Numbers for the engine's phones: fillers, one for generic speech, then each speech phone once for every position in a word, from
 * which the engine tells where words begin and end.
 */
export class PhoneTable {
  constructor(
    private readonly fillers: readonly string[],
    private readonly speech: readonly string[],
  ) {}

  get size(): number {
    return this.generic + this.speech.length * wordPositions.length
  }

  /** A word of one phone that stands for any talk. */
  get generic(): number {
    return this.fillers.length + 1
  }

  filler(phone: string): number {
    return indexOf(this.fillers, phone) + 1
  }

  inWord(phone: string, position: WordPosition): number {
    const place = indexOf(this.speech, phone) * wordPositions.length + wordPositions.indexOf(position)
    return this.generic + place + 1
  }

  /** The text of `word_boundary.int`. */
  wordBoundaries(): string {
    const fillers = this.fillers.map((phone) => `${this.filler(phone)} nonword\n`)
    const speech = this.speech.flatMap((phone) =>
      wordPositions.map((position) => `${this.inWord(phone, position)} ${boundaryNames[position]}\n`),
    )
    return [...fillers, `${this.generic} singleton\n`, ...speech].join('')
  }
}

function indexOf(names: readonly string[], name: string): number {
  const index = names.indexOf(name)
  if (index < 0) throw new Error(`no phone ${name}`)
  return index
}
