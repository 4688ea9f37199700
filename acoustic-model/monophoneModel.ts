import { silence, type EmittingState, type Filler, type PhoneModel } from './graph/phoneModel.ts'

/**
 * Phones of the trained network: one state each, whatever their neighbours, with one output for its first frame
 * and one for all further frames. Staying and leaving cost nothing, as in training.
 */
export class MonophoneModel implements PhoneModel {
  readonly statesPerPhone = 1
  readonly speech: readonly string[]

  /** @param phones in the order of the outputs, two each */
  constructor(
    private readonly phones: readonly string[],
    readonly fillers: readonly Filler[],
  ) {
    this.speech = phones.filter((phone) => phone !== silence)
  }

  inContext(phone: string): readonly EmittingState[] {
    return this.withoutContext(phone)
  }

  withoutContext(phone: string): readonly EmittingState[] {
    const index = this.phones.indexOf(phone)
    if (index < 0) throw new Error(`the network has no phone ${phone}`)
    return [{ pdf: 2 * index, furtherPdf: 2 * index + 1, stay: 0, leave: 0 }]
  }
}
