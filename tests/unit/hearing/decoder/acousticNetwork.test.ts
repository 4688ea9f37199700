import { beforeAll, describe, expect, it } from 'vitest'
import { BinaryWriter } from '../../../../acoustic-model/kaldi/binaryWriter.ts'
import { writeNetwork } from '../../../../acoustic-model/kaldi/network.ts'
import { readTrainedNetwork } from '../../../../acoustic-model/trainedNetwork.ts'
import {
  createAcousticNetwork,
  type AcousticNetwork,
} from '../../../../src/hearing/decoder/acousticNetwork.ts'
import { compileKernel } from '../../../../src/hearing/decoder/kernel/compileKernel.ts'
import { readNnet3, type Layer, type Nnet3 } from '../../../../src/hearing/decoder/nnet3.ts'

/** The trained network as it is packed. */
function packed(): Uint8Array {
  const writer = new BinaryWriter()
  const folder = new URL('../../../../acoustic-model/trained', import.meta.url).pathname
  writeNetwork(writer, readTrainedNetwork(folder).network)
  return writer.result()
}

/** What the network is defined to give for frame `at`, each layer straight from its definition, in 64 bits. */
function byDefinition({ layers, inputSize }: Nnet3, features: Float32Array, at: number): number[] {
  const frames = features.length / inputSize
  const known = new Map<string, number[]>()
  const valueOf = (name: string, time: number): number[] => {
    const key = `${name} ${time}`
    const found = known.get(key)
    if (found) return found
    const layer = layers.find((one) => one.name === name)
    const value = layer === undefined ? inputAt(time) : computed(layer, time)
    known.set(key, value)
    return value
  }
  const inputAt = (time: number): number[] => {
    const frame = Math.min(Math.max(time, 0), frames - 1)
    return [...features.subarray(frame * inputSize, (frame + 1) * inputSize)]
  }
  const computed = (layer: Layer, time: number): number[] => {
    const inputs = layer.taps.map(({ node, offset }) => valueOf(node, time + offset))
    if (layer.kind === 'rectified') return (inputs[0] ?? []).map((value) => Math.max(0, value))
    if (layer.kind === 'sum') return (inputs[0] ?? []).map((value, i) => value + (inputs[1]?.[i] ?? 0))
    const input = inputs.flat()
    const { rows, columns, weights, bias } = layer.affine
    return Array.from({ length: rows }, (_, row) =>
      input.reduce((sum, value, i) => sum + value * (weights[row * columns + i] ?? 0), bias[row] ?? 0),
    )
  }
  return valueOf(layers.at(-1)?.name ?? '', at)
}

describe('the acoustic network', () => {
  let nnet: Nnet3
  let network: AcousticNetwork
  const features = Float32Array.from({ length: 40 * 40 }, (_, i) => 10 + 4 * Math.sin(i * i))
  beforeAll(async () => {
    nnet = readNnet3(packed())
    network = createAcousticNetwork(nnet, await compileKernel(), 3)
  })

  it('gives the scores that its layers define, edges included', () => {
    const scores = [...network.push(features), ...network.finish()]
    expect(scores.length).toBe(14 * network.outputSize)
    for (const frame of [0, 13]) {
      const wanted = byDefinition(nnet, features, 3 * frame)
      wanted.forEach((value, i) => expect(scores[frame * network.outputSize + i]).toBeCloseTo(value, 2))
    }
  })

  it('gives the same scores however the features are cut, over and over', () => {
    const whole = [...network.push(features), ...network.finish()]
    for (const size of [1, 5, 7]) {
      const scores: number[] = []
      for (let frame = 0; frame < 40; frame += size)
        scores.push(...network.push(features.slice(frame * 40, (frame + size) * 40)))
      scores.push(...network.finish())
      expect(scores.length).toBe(whole.length)
      scores.forEach((value, i) => expect(value).toBeCloseTo(whole[i] ?? NaN, 3))
    }
  })

  it('looks no further ahead than the network does', () => {
    const given = network.push(features.slice(0, 40 * (nnet.rightContext + 1)))
    expect(given.length).toBe(network.outputSize)
    network.reset()
  })
})

it('refuses layers that it cannot compute', () => {
  const writer = new BinaryWriter()
  writeNetwork(writer, {
    inputSize: 4,
    nodes: [{ kind: 'component', name: 'soft', input: 'input', component: { kind: 'softmax', size: 4 } }],
    output: 'soft',
    leftContext: 0,
    rightContext: 0,
  })
  expect(() => readNnet3(writer.result())).toThrow('<SoftmaxComponent> cannot be computed here')
})
