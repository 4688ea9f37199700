import { triphoneKey, wordPositions, type ModelDefinition, type WordPosition } from './modelDefinition.ts'

/** A phone between its neighbours, by name. */
export interface Triphone {
  phone: string
  left: string
  right: string
  position: WordPosition
}

export interface PhoneStates {
  /** senone of each state */
  senones: readonly number[]
  /** index of the transition matrix */
  matrix: number
}

/**
 * Looks up the senones of phones. A triphone that the model never saw falls back as in Sphinx's own decoder
 * (`bin_mdef_phone_id_nearest`): the same context in another word position, then silence in place of the
 * neighbouring word, then the phone without context.
 */
export class Senones {
  private readonly indexes: ReadonlyMap<string, number>

  constructor(private readonly definition: ModelDefinition) {
    this.indexes = new Map(definition.basePhones.map((phone, index) => [phone.name, index]))
  }

  /** @throws Error when the model has no such phone */
  withoutContext(phone: string): PhoneStates {
    const base = this.definition.basePhones[this.index(phone)]
    if (base === undefined) throw new Error(`no phone ${phone}`)
    return this.states(base.sequence, base.matrix)
  }

  /** @throws Error when the model has no such phones */
  inContext({ phone, left, right, position }: Triphone): PhoneStates {
    const own = this.withoutContext(phone)
    const sequence =
      this.sequence(phone, left, right, position) ??
      this.sequence(
        phone,
        position === 'begin' || position === 'single' || this.isFiller(left) ? 'SIL' : left,
        position === 'end' || position === 'single' || this.isFiller(right) ? 'SIL' : right,
        position,
      )
    return sequence === undefined ? own : this.states(sequence, own.matrix)
  }

  /** The base phone, and so the codebook, that each senone belongs to. */
  codebooks(): readonly number[] {
    const codebooks: number[] = new Array(this.definition.senones).fill(0)
    const assign = (sequence: number, base: number): void => {
      for (const senone of this.definition.sequences[sequence] ?? []) codebooks[senone] = base
    }
    for (const [key, sequence] of this.definition.triphones) assign(sequence, Math.floor(key / 4 / 256 / 256))
    this.definition.basePhones.forEach((phone, base) => assign(phone.sequence, base))
    return codebooks
  }

  private sequence(phone: string, left: string, right: string, position: WordPosition): number | undefined {
    const [base, before, after] = [this.index(phone), this.index(left), this.index(right)]
    const others = wordPositions.filter((other) => other !== position)
    for (const tried of [position, ...others]) {
      const found = this.definition.triphones.get(triphoneKey(base, before, after, tried))
      if (found !== undefined) return found
    }
    return undefined
  }

  private states(sequence: number, matrix: number): PhoneStates {
    return { senones: this.definition.sequences[sequence] ?? [], matrix }
  }

  private isFiller(phone: string): boolean {
    return this.definition.basePhones[this.index(phone)]?.filler ?? false
  }

  private index(phone: string): number {
    const index = this.indexes.get(phone)
    if (index === undefined) throw new Error(`the model has no phone ${phone}`)
    return index
  }
}
