/**
 * Reads back what the writers of `acoustic-model/kaldi` write, from Kaldi's own description of its formats
 * (kaldi-asr/kaldi, src/base/io-funcs-inl.h, src/matrix, src/hmm/transition-model.cc, src/nnet3). It shares no
 * code with the writers.
 */

export interface ReadMatrix {
  rows: number
  columns: number
  values: Float64Array
}

export type ReadValue = string | number | boolean | number[] | Float64Array | ReadMatrix

export interface ReadTransitionModel {
  phones: number[]
  /** emitting states of each phone's topology */
  statesPerPhone: number
  /** phone, state, pdf of the first frame, pdf of further frames, by transition-state; transition-ids go in pairs */
  tuples: { phone: number; state: number; pdf: number; furtherPdf: number }[]
  logProbs: Float64Array
}

export interface ReadComponent {
  name: string
  type: string
  /** by token without its brackets */
  values: Map<string, ReadValue>
}

export interface ReadNetwork {
  config: string[]
  components: ReadComponent[]
  leftContext: number
  rightContext: number
  priors: Float64Array
}

export class KaldiReader {
  private readonly view: DataView
  private at = 0

  constructor(private readonly bytes: Uint8Array) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  }

  get atEnd(): boolean {
    return this.at === this.bytes.length
  }

  binaryMark(): void {
    if (this.byte() !== 0 || this.byte() !== 0x42) throw new Error('no binary mark')
  }

  token(): string {
    const end = this.bytes.indexOf(0x20, this.at)
    const text = new TextDecoder().decode(this.bytes.subarray(this.at, end))
    this.at = end + 1
    return text
  }

  expect(token: string): void {
    const found = this.token()
    if (found !== token) throw new Error(`expected ${token} at ${this.at}, found ${found}`)
  }

  int32(): number {
    if (this.byte() !== 4) throw new Error(`no int32 at ${this.at}`)
    return this.raw32()
  }

  real(): number {
    const size = this.byte()
    this.at += size
    if (size === 4) return this.view.getFloat32(this.at - 4, true)
    if (size === 8) return this.view.getFloat64(this.at - 8, true)
    throw new Error(`no real number at ${this.at}`)
  }

  int32Vector(): number[] {
    const count = this.int32()
    return Array.from({ length: count }, () => this.raw32())
  }

  vector(): Float64Array {
    const kind = this.token()
    const width = kind === 'FV' ? 4 : kind === 'DV' ? 8 : NaN
    const count = this.int32()
    return Float64Array.from({ length: count }, () => this.rawReal(width))
  }

  matrix(): ReadMatrix {
    const kind = this.token()
    if (kind === 'CM2') {
      const least = this.rawReal(4)
      const range = this.rawReal(4)
      const rows = this.raw32()
      const columns = this.raw32()
      const values = Float64Array.from({ length: rows * columns }, () => {
        this.at += 2
        return least + (range / 65535) * this.view.getUint16(this.at - 2, true)
      })
      return { rows, columns, values }
    }
    const width = kind === 'FM' ? 4 : kind === 'DM' ? 8 : NaN
    const rows = this.int32()
    const columns = this.int32()
    return { rows, columns, values: Float64Array.from({ length: rows * columns }, () => this.rawReal(width)) }
  }

  transitionModel(): ReadTransitionModel {
    this.expect('<TransitionModel>')
    this.expect('<Topology>')
    const phones = this.int32Vector()
    this.int32Vector() // which topology each phone has
    let entries = this.int32()
    const twoPdfs = entries === -1
    if (twoPdfs) entries = this.int32()
    if (entries !== 1) throw new Error(`${entries} topologies`)
    const states = this.int32()
    for (let state = 0; state < states; state++) {
      const pdfClass = this.int32()
      if (twoPdfs) this.int32()
      const transitions = this.int32()
      for (let transition = 0; transition < transitions; transition++) {
        this.int32()
        this.real()
      }
      if (pdfClass === -1 && state !== states - 1) throw new Error('a state in the middle emits nothing')
    }
    this.expect('</Topology>')
    this.expect(twoPdfs ? '<Tuples>' : '<Triples>')
    const count = this.int32()
    const tuples = Array.from({ length: count }, () => {
      const [phone, state, pdf] = [this.int32(), this.int32(), this.int32()]
      return { phone, state, pdf, furtherPdf: twoPdfs ? this.int32() : pdf }
    })
    this.expect(twoPdfs ? '</Tuples>' : '</Triples>')
    this.expect('<LogProbs>')
    const logProbs = this.vector()
    this.expect('</LogProbs>')
    this.expect('</TransitionModel>')
    return { phones, statesPerPhone: states - 1, tuples, logProbs }
  }

  network(): ReadNetwork {
    this.expect('<Nnet3>')
    const text = new TextDecoder('latin1').decode(this.bytes.subarray(this.at, this.at + (1 << 20)))
    const end = text.indexOf('\n\n')
    if (!text.startsWith('\n') || end < 0) throw new Error('no network configuration')
    const config = text.slice(1, end).split('\n')
    this.at += end + 2
    this.expect('<NumComponents>')
    const count = this.int32()
    const components = Array.from({ length: count }, () => this.component())
    this.expect('</Nnet3>')
    this.expect('<LeftContext>')
    const leftContext = this.int32()
    this.expect('<RightContext>')
    const rightContext = this.int32()
    this.expect('<Priors>')
    return { config, components, leftContext, rightContext, priors: this.vector() }
  }

  private component(): ReadComponent {
    this.expect('<ComponentName>')
    const name = this.token()
    const type = this.token().slice(1, -1)
    const values = new Map<string, ReadValue>()
    for (let token = this.token(); token !== `</${type}>`; token = this.token())
      values.set(token.slice(1, -1), this.value(token))
    return { name, type, values }
  }

  private value(token: string): ReadValue {
    if (['<LinearParams>'].includes(token)) return this.matrix()
    if (['<BiasParams>', '<ValueAvg>', '<DerivAvg>', '<OderivRms>'].includes(token)) return this.vector()
    if (token === '<Sizes>') return this.int32Vector()
    if (token === '<AddLogStddev>') return this.byte() === 0x54
    return this.bytes[this.at] === 4 && !['<TargetRms>', '<BackpropScale>'].includes(token)
      ? this.int32()
      : this.real()
  }

  private byte(): number {
    return this.view.getUint8(this.at++)
  }

  private raw32(): number {
    this.at += 4
    return this.view.getInt32(this.at - 4, true)
  }

  private rawReal(width: number): number {
    this.at += width
    return width === 4 ? this.view.getFloat32(this.at - 4, true) : this.view.getFloat64(this.at - 8, true)
  }
}
