/** A matrix with its bias, rows by columns in row-major order. */
export interface Affine {
  rows: number
  columns: number
  weights: Float32Array
  bias: Float32Array
}

/** A part of a node's input: another node, at an offset in frames. */
export interface Tap {
  node: string
  offset: number
}

/** What a node computes. The taps of an affine are joined end to end, those of a sum are added. */
export type Layer = { name: string } & (
  | { kind: 'affine'; taps: readonly Tap[]; affine: Affine }
  | { kind: 'rectified'; taps: readonly Tap[] }
  | { kind: 'sum'; taps: readonly Tap[] }
)

/** A feed-forward network of Kaldi's nnet3, its layers in the order of computation; the last one is the output. */
export interface Nnet3 {
  inputSize: number
  layers: readonly Layer[]
  /** frames that it looks at before and after the one it scores */
  leftContext: number
  rightContext: number
}

/**
 * Reads the network in `am/final.mdl`, of the kinds of layer that our own networks have.
 *
 * @see kaldi-asr/kaldi, src/nnet3/nnet-nnet.cc (the layout) and src/matrix/compressed-matrix.cc (two bytes a value)
 * @throws RangeError when the file ends early; Error for a layer of another kind
 */
export function readNnet3(finalModel: Uint8Array): Nnet3 {
  const reader = new Reader(finalModel)
  reader.skipPast('<Nnet3>')
  const config = reader.textUntil('\n\n<NumComponents> ')
  const components = new Map<string, Component>()
  for (let left = reader.int32(); left > 0; left--) {
    reader.expect('<ComponentName>')
    const name = reader.token()
    components.set(name, readComponent(reader))
  }
  reader.expect('</Nnet3>')
  reader.expect('<LeftContext>')
  const leftContext = reader.int32()
  reader.expect('<RightContext>')
  const rightContext = reader.int32()

  let inputSize = 0
  let output = ''
  const layers: Layer[] = []
  for (const line of config.split('\n').filter((text) => text.trim() !== '')) {
    const [kind = '', ...rest] = line.trim().split(' ')
    const values = new Map(
      rest
        .join(' ')
        .split(/ (?=\w[\w-]*=)/)
        .map((pair) => [pair.slice(0, pair.indexOf('=')), pair.slice(pair.indexOf('=') + 1)]),
    )
    const valueOf = (key: string): string => values.get(key) ?? ''
    if (kind === 'input-node') inputSize = Number(valueOf('dim'))
    else if (kind === 'output-node') output = valueOf('input')
    else if (kind === 'component-node') {
      const component = components.get(valueOf('component'))
      if (component === undefined) throw new Error(`the network has no component ${valueOf('component')}`)
      layers.push(layerOf(valueOf('name'), valueOf('input'), component))
    } else throw new Error(`a network with a ${kind} cannot be computed here`)
  }
  if (layers.at(-1)?.name !== output) throw new Error('the output is not the last layer')
  return { inputSize, layers, leftContext, rightContext }
}

type Component = { kind: 'affine'; affine: Affine } | { kind: 'rectified' } | { kind: 'copy' }

function layerOf(name: string, input: string, component: Component): Layer {
  const joined = /^Append\((.*)\)$/.exec(input)?.[1]
  const added = /^Sum\((.*)\)$/.exec(input)?.[1]
  const taps = (joined ?? added ?? input).split(/, (?![^(]*\))/).map(tapOf)
  if (component.kind === 'affine' && added === undefined)
    return { name, kind: 'affine', taps, affine: component.affine }
  if (component.kind === 'rectified' && taps.length === 1) return { name, kind: 'rectified', taps }
  if (component.kind === 'copy' && joined === undefined) return { name, kind: 'sum', taps }
  throw new Error(`the network's layer ${name} with input ${input} cannot be computed here`)
}

function tapOf(text: string): Tap {
  const [, node, offset] = /^Offset\(([\w.]+), (-?\d+)\)$/.exec(text) ?? []
  if (node !== undefined) return { node, offset: Number(offset) }
  if (!/^[\w.]+$/.test(text)) throw new Error(`${text} cannot be computed here`)
  return { node: text, offset: 0 }
}

function readComponent(reader: Reader): Component {
  const type = reader.token()
  switch (type) {
    case '<FixedAffineComponent>': {
      reader.expect('<LinearParams>')
      const { rows, columns, values } = reader.matrix()
      reader.expect('<BiasParams>')
      const bias = reader.vector()
      reader.expect('</FixedAffineComponent>')
      return { kind: 'affine', affine: { rows, columns, weights: values, bias } }
    }
    case '<NoOpComponent>':
      reader.skipPast('</NoOpComponent> ')
      return { kind: 'copy' }
    case '<RectifiedLinearComponent>':
      reader.skipPast('</RectifiedLinearComponent> ')
      return { kind: 'rectified' }
    default:
      throw new Error(`a network with a ${type} cannot be computed here`)
  }
}

/** Kaldi's binary format, little-endian: tokens end in a space, a number is preceded by its size in bytes. */
class Reader {
  readonly #bytes: Uint8Array
  readonly #view: DataView
  #at = 0

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  }

  skipPast(text: string): void {
    this.textUntil(text)
  }

  /** The text before a mark; goes on behind the mark. */
  textUntil(mark: string): string {
    const wanted = new TextEncoder().encode(mark)
    for (let end = this.#at; end + wanted.length <= this.#bytes.length; end++) {
      if (!wanted.every((byte, i) => this.#bytes[end + i] === byte)) continue
      const text = new TextDecoder().decode(this.#bytes.subarray(this.#at, end))
      this.#at = end + wanted.length
      return text
    }
    throw new RangeError(`the model has no ${mark.trim()}`)
  }

  token(): string {
    return this.textUntil(' ')
  }

  expect(token: string): void {
    const found = this.token()
    if (found !== token) throw new Error(`the model has ${found} where ${token} should be`)
  }

  int32(): number {
    this.#at += 1
    return this.#rawInt32()
  }

  vector(): Float32Array {
    this.expect('FV')
    const size = this.int32()
    return this.#floats(size)
  }

  matrix(): { rows: number; columns: number; values: Float32Array } {
    const kind = this.token()
    if (kind === 'FM') {
      const [rows, columns] = [this.int32(), this.int32()]
      return { rows, columns, values: this.#floats(rows * columns) }
    }
    if (kind !== 'CM2') throw new Error(`a matrix of kind ${kind} cannot be read here`)
    const least = this.#view.getFloat32(this.#at, true)
    const range = this.#view.getFloat32(this.#at + 4, true)
    this.#at += 8
    const [rows, columns] = [this.#rawInt32(), this.#rawInt32()]
    const values = new Float32Array(rows * columns)
    for (let i = 0; i < values.length; i++, this.#at += 2)
      values[i] = least + (range * this.#view.getUint16(this.#at, true)) / 65535
    return { rows, columns, values }
  }

  #rawInt32(): number {
    const value = this.#view.getInt32(this.#at, true)
    this.#at += 4
    return value
  }

  #floats(size: number): Float32Array {
    const values = Float32Array.from({ length: size }, (_, i) =>
      this.#view.getFloat32(this.#at + 4 * i, true),
    )
    this.#at += 4 * size
    return values
  }
}
