import { silence, type EmittingState, type Filler, type PhoneModel } from './graph/phoneModel.ts'
import { Senones, type PhoneStates, type Triphone } from './sphinx/senones.ts'
import type { SphinxModel } from './sphinx/sphinxModel.ts'

/**
 * The phones of a Sphinx model as the graph wants them, with its senones numbered as outputs of the network.
 */
export class TriphoneModel implements PhoneModel {
  readonly statesPerPhone = 3
  readonly speech: readonly string[]
  private readonly senones: Senones
  private readonly pdfs = new Map<number, number>()

  /**
   * @param scale by which scores are multiplied in the search; transitions are scaled alike
   * @param fillers what may be heard between words
   * @param outputs the senone of each output; without it, outputs are numbered as senones
   */
  constructor(
    private readonly model: SphinxModel,
    private readonly scale: number,
    readonly fillers: readonly Filler[],
    outputs?: readonly number[],
  ) {
    this.senones = new Senones(model.definition)
    this.speech = model.definition.basePhones
      .filter(({ filler, name }) => !filler && name !== silence)
      .map(({ name }) => name)
    outputs?.forEach((senone, pdf) => this.pdfs.set(senone, pdf))
  }

  inContext(
    phone: string,
    left: string,
    right: string,
    position: Triphone['position'],
  ): readonly EmittingState[] {
    return this.states(this.senones.inContext({ phone, left, right, position }))
  }

  withoutContext(phone: string): readonly EmittingState[] {
    return this.states(this.senones.withoutContext(phone))
  }

  /** The codebook of every senone. */
  codebooks(): readonly number[] {
    return this.senones.codebooks()
  }

  private states({ senones, matrix }: PhoneStates): readonly EmittingState[] {
    return senones.map((senone, state) => {
      const stay = this.model.transitions[matrix]?.[state] ?? 0.5
      return {
        pdf: this.pdfs.size === 0 ? senone : (this.pdfs.get(senone) ?? NaN),
        stay: -this.scale * Math.log(stay),
        leave: -this.scale * Math.log(1 - stay),
      }
    })
  }
}
