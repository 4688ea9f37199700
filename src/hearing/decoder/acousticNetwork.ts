import type { Layer, Nnet3 } from './nnet3.ts'

/** Scores every {@link AcousticNetwork.period}th frame of a stream of features, as soon as it can. */
export interface AcousticNetwork {
  /** values in a frame of features */
  readonly inputSize: number
  /** values in a frame of scores */
  readonly outputSize: number
  /** frames of features from one frame of scores to the next */
  readonly period: number
  /**
   * Takes frames of features, one after the other in one array, and gives the frames of scores that can be computed by now,
   * in the same manner.
   */
  push(features: Float32Array): Float32Array
  /** The scores that still wait for what comes after; nothing comes after. Then the network begins afresh. */
  finish(): Float32Array
  /** Forgets what came so far. */
  reset(): void
}

/** The functions of `kernel/kernel.as.ts`. */
interface Kernel {
  affine(
    weights: number,
    bias: number,
    rows: number,
    columns: number,
    input: number,
    inputStep: number,
    output: number,
    outputStep: number,
    frames: number,
  ): void
  rectify(input: number, output: number, size: number): void
  add(one: number, other: number, output: number, size: number): void
}

const bytesPerValue = 4
const pageBytes = 65536
/** Frames of features that are worked through in one go: bounds the room that the layers need. */
const batch = 24
/** the least address, so that none is 0 */
const firstAddress = 1024

const roundedUp = (count: number, to: number): number => Math.ceil(count / to) * to

/** Where the frames of a node lie: frame `first + i * step` at `address + i * size`. */
interface Track {
  size: number
  /** frames of features from one of its frames to the next */
  step: number
  address: number
  room: number
  /** how many of its newest frames others may still need */
  kept: number
  first: number
  count: number
}

/**
 * Sets a network up in memory of its own.
 *
 * @param kernel the WebAssembly of `kernel/kernel.as.ts`
 * @param period frames of features from one frame of scores to the next
 */
export function createAcousticNetwork(
  network: Nnet3,
  kernel: Uint8Array<ArrayBuffer>,
  period: number,
): AcousticNetwork {
  const { layers, leftContext, rightContext } = network
  const output = layers.at(-1)
  if (output === undefined) throw new Error('the network has no layers')
  const sizes = sizesOf(network)
  const steps = stepsOf(layers, period)

  let top = firstAddress
  const reserve = (values: number): number => {
    const address = top
    top += roundedUp(values * bytesPerValue, 16)
    return address
  }
  const tracks = new Map<string, Track>()
  const span = leftContext + rightContext + 1
  for (const [name, size] of sizes) {
    const step = steps.get(name) ?? 1
    const kept = Math.ceil(span / step)
    const room = 2 * kept + Math.ceil(batch / step)
    const padded = roundedUp(size, 4)
    tracks.set(name, { size: padded, step, kept, room, address: reserve(room * padded), first: 0, count: 0 })
  }
  const track = (name: string): Track => {
    const found = tracks.get(name)
    if (found === undefined) throw new Error(`the network has no node ${name}`)
    return found
  }
  const parameters = layers.map((layer) =>
    layer.kind === 'affine'
      ? {
          bias: reserve(roundedUp(layer.affine.rows, 4)),
          parts: layer.taps.map(({ node }) =>
            reserve(roundedUp(layer.affine.rows, 4) * roundedUp(sizes.get(node) ?? 0, 4)),
          ),
        }
      : null,
  )

  const memory = new WebAssembly.Memory({ initial: Math.ceil(top / pageBytes) })
  const instance = new WebAssembly.Instance(new WebAssembly.Module(kernel), { env: { memory } })
  const { affine, rectify, add } = instance.exports as unknown as Kernel
  const values = new Float32Array(memory.buffer)

  layers.forEach((layer, index) => {
    const place = parameters[index]
    if (layer.kind !== 'affine' || !place) return
    const { rows, columns, weights, bias } = layer.affine
    values.set(bias, place.bias / bytesPerValue)
    let column = 0
    layer.taps.forEach(({ node }, part) => {
      const size = sizes.get(node) ?? 0
      const padded = roundedUp(size, 4)
      const at = (place.parts[part] ?? 0) / bytesPerValue
      for (let row = 0; row < rows; row++)
        values.set(weights.subarray(row * columns + column, row * columns + column + size), at + row * padded)
      column += size
    })
    if (column !== columns)
      throw new Error(`the layer ${layer.name} wants ${columns} inputs and gets ${column}`)
  })

  const input = track('input')
  const scores = track(output.name)
  const outputSize = sizes.get(output.name) ?? 0
  /** the last frame of features given, for what comes after the end */
  let last: Float32Array | null = null

  const reset = (): void => {
    last = null
    for (const one of tracks.values()) one.count = one.first = 0
  }

  /** Makes room for further frames by forgetting the oldest. */
  const makeRoom = (one: Track, frames: number): void => {
    if (one.count + frames <= one.room) return
    const from = one.address / bytesPerValue
    const gone = one.count - one.kept
    values.copyWithin(from, from + gone * one.size, from + one.count * one.size)
    one.first += gone * one.step
    one.count = one.kept
  }

  const compute = (layer: Layer, index: number): void => {
    const to = track(layer.name)
    const sources = layer.taps.map(({ node, offset }) => ({ from: track(node), offset }))
    /** the times between which all that is needed is there */
    const begin = Math.max(...sources.map(({ from, offset }) => from.first - offset))
    const end = Math.min(
      ...sources.map(({ from, offset }) => from.first + (from.count - 1) * from.step - offset),
    )
    if (to.count === 0) to.first = Math.ceil(begin / to.step) * to.step
    const next = to.first + to.count * to.step
    const frames = Math.floor((end - next) / to.step) + 1
    if (frames <= 0) return
    makeRoom(to, frames)
    const rowBytes = to.size * bytesPerValue
    const address = to.address + to.count * rowBytes
    const at = ({ from, offset }: { from: Track; offset: number }): number =>
      from.address + ((next + offset - from.first) / from.step) * from.size * bytesPerValue
    if (layer.kind === 'affine') {
      const place = parameters[index]
      sources.forEach((source, part) => {
        const { from } = source
        affine(
          place?.parts[part] ?? 0,
          part === 0 ? (place?.bias ?? 0) : 0,
          to.size,
          from.size,
          at(source),
          (to.step / from.step) * from.size * bytesPerValue,
          address,
          rowBytes,
          frames,
        )
      })
    } else {
      const [one, other] = sources
      if (one === undefined) throw new Error(`the layer ${layer.name} has no input`)
      for (let frame = 0; frame < frames; frame++) {
        const source = (which: { from: Track; offset: number }): number =>
          at(which) + frame * (to.step / which.from.step) * which.from.size * bytesPerValue
        if (layer.kind === 'rectified') rectify(source(one), address + frame * rowBytes, to.size)
        else if (other !== undefined) add(source(one), source(other), address + frame * rowBytes, to.size)
        else values.copyWithin((address + frame * rowBytes) / 4, source(one) / 4, source(one) / 4 + to.size)
      }
    }
    to.count += frames
  }

  const run = (features: Float32Array): Float32Array => {
    const count = features.length / network.inputSize
    const made: number[] = []
    for (let frame = 0; frame < count; frame += batch) {
      const frames = Math.min(batch, count - frame)
      makeRoom(input, frames)
      for (let i = 0; i < frames; i++) {
        const one = features.subarray((frame + i) * network.inputSize, (frame + i + 1) * network.inputSize)
        values.set(one, input.address / bytesPerValue + (input.count + i) * input.size)
      }
      input.count += frames
      const before = scores.first + scores.count * scores.step
      const wasEmpty = scores.count === 0
      layers.forEach(compute)
      const from = wasEmpty ? 0 : (before - scores.first) / scores.step
      for (let i = from; i < scores.count; i++) {
        const at = scores.address / bytesPerValue + i * scores.size
        for (let value = 0; value < outputSize; value++) made.push(values[at + value] as number)
      }
    }
    return Float32Array.from(made)
  }

  return {
    inputSize: network.inputSize,
    outputSize,
    period,
    push(features) {
      if (features.length === 0) return new Float32Array()
      const wasEmpty = last === null
      last = features.slice(-network.inputSize)
      if (!wasEmpty) return run(features)
      // what came before the first frame is taken to have been like it
      input.first = -leftContext
      return run(joined([repeated(features.subarray(0, network.inputSize), leftContext), features]))
    },
    finish() {
      const rest = last === null ? new Float32Array() : run(repeated(last, rightContext))
      reset()
      return rest
    },
    reset,
  }
}

function sizesOf({ inputSize, layers }: Nnet3): Map<string, number> {
  const sizes = new Map([['input', inputSize]])
  for (const layer of layers) {
    const size = layer.kind === 'affine' ? layer.affine.rows : sizes.get(layer.taps[0]?.node ?? '')
    if (size === undefined) throw new Error(`the layer ${layer.name} comes before its input`)
    sizes.set(layer.name, size)
  }
  return sizes
}

/** How often each node is needed: every `period`th frame where that is enough for all that build on it, else every frame. */
function stepsOf(layers: readonly Layer[], period: number): Map<string, number> {
  const needed = new Map<string, Set<number>>()
  const need = (node: string, remainder: number): void => {
    const known = needed.get(node) ?? new Set()
    needed.set(node, known.add(((remainder % period) + period) % period))
  }
  need(layers.at(-1)?.name ?? '', 0)
  for (const { name, taps } of layers.toReversed())
    for (const remainder of needed.get(name) ?? [])
      for (const { node, offset } of taps) need(node, remainder + offset)
  return new Map(
    [...needed].map(([node, remainders]) => [node, remainders.size === 1 && remainders.has(0) ? period : 1]),
  )
}

function repeated(frame: Float32Array, times: number): Float32Array {
  return Float32Array.from({ length: frame.length * times }, (_, i) => frame[i % frame.length] as number)
}

function joined(pieces: readonly Float32Array[]): Float32Array {
  const all = new Float32Array(pieces.reduce((sum, { length }) => sum + length, 0))
  let at = 0
  for (const piece of pieces) {
    all.set(piece, at)
    at += piece.length
  }
  return all
}
