import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { BinaryWriter } from '../../../acoustic-model/kaldi/binaryWriter.ts'
import { writeNetwork } from '../../../acoustic-model/kaldi/network.ts'
import { TransitionModel } from '../../../acoustic-model/kaldi/transitionModel.ts'
import { MonophoneModel } from '../../../acoustic-model/monophoneModel.ts'
import { readTrainedNetwork } from '../../../acoustic-model/trainedNetwork.ts'

const listing = {
  phones: ['SIL', 'AA'],
  inputSize: 2,
  leftContext: 1,
  rightContext: 0,
  subsampling: 3,
  features: '--num-mel-bins=2\n',
  output: 'scores',
  nodes: [
    { name: 'first', kind: 'affine', input: 'input', rows: 3, columns: 2, least: -1, range: 2 },
    { name: 'kept', kind: 'rectified', input: 'first', size: 3 },
    { name: 'sum', kind: 'copy', input: 'Sum(kept, first)', size: 3 },
    { name: 'scores', kind: 'affine', input: 'sum', rows: 1, columns: 3, least: 0, range: 1 },
  ],
}
const steps = Uint16Array.of(0, 65535, 1, 2, 3, 4, 5, 6, 7)
const biases = Float32Array.of(0.5, 1.5, 2.5, -4)

function bin(): Uint8Array {
  const padded = new Uint8Array(20 + biases.byteLength)
  padded.set(new Uint8Array(steps.buffer))
  padded.set(new Uint8Array(biases.buffer), 20)
  return padded
}

let folder = ''
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'trained-'))
  writeFileSync(join(folder, 'network.json'), JSON.stringify(listing))
  writeFileSync(join(folder, 'network.bin'), bin())
})
afterEach(() => rmSync(folder, { recursive: true }))

describe('a trained network', () => {
  it('is read with every matrix and bias in its place', () => {
    const { network, phones } = readTrainedNetwork(folder)
    expect(phones).toEqual(['SIL', 'AA'])
    const affine = network.nodes.flatMap((node) =>
      node.kind === 'component' && node.component.kind === 'affine' ? [node.component] : [],
    )
    expect(affine.map(({ bias }) => [...Array.from(bias)])).toEqual([[0.5, 1.5, 2.5], [-4]])
    expect(affine.map(({ linear }) => ('steps' in linear ? [...linear.steps] : null))).toEqual([
      [0, 65535, 1, 2, 3, 4],
      [5, 6, 7],
    ])
  })

  it('is refused when its files do not fit together', () => {
    writeFileSync(join(folder, 'network.bin'), bin().subarray(4))
    expect(() => readTrainedNetwork(folder)).toThrow('network.bin has 32 bytes; network.json wants 36')
  })

  it('is written as nnet3 with compressed matrices', () => {
    const writer = new BinaryWriter()
    writeNetwork(writer, readTrainedNetwork(folder).network)
    const bytes = writer.result()
    const text = new TextDecoder('latin1').decode(bytes)
    expect(text).toContain('component-node name=sum component=sum input=Sum(kept, first)')
    expect(text).toContain('<NoOpComponent> <Dim> ')
    // CM2: least, range, rows, columns, then two bytes a value (kaldi-asr/kaldi, src/matrix/compressed-matrix.cc)
    const at = text.indexOf('CM2 ') + 4
    const view = new DataView(bytes.buffer, bytes.byteOffset + at)
    expect([view.getFloat32(0, true), view.getFloat32(4, true)]).toEqual([-1, 2])
    expect([view.getInt32(8, true), view.getInt32(12, true)]).toEqual([3, 2])
    expect([view.getUint16(16, true), view.getUint16(18, true)]).toEqual([0, 65535])
  })
})

describe('phones of one state and two outputs', () => {
  const model = new MonophoneModel(['SIL', 'AA', 'B'], [{ phone: 'SIL', cost: 0 }])

  it('have an output for the first frame and one for the rest', () => {
    expect(model.speech).toEqual(['AA', 'B'])
    expect(model.inContext('B')).toEqual([{ pdf: 4, furtherPdf: 5, stay: 0, leave: 0 }])
    expect(() => model.withoutContext('ZH')).toThrow('no phone ZH')
  })

  it('are written with both; a phone of one output in the older form', () => {
    const text = (furtherPdf: number): string => {
      const writer = new BinaryWriter()
      new TransitionModel(1, 1, [{ phone: 1, state: 0, pdf: 4, furtherPdf }]).write(writer)
      return new TextDecoder('latin1').decode(writer.result())
    }
    expect(text(5)).toContain('<Tuples>')
    expect(text(4)).toContain('<Triples>')
    expect(text(4)).not.toContain('<Tuples>')
  })
})
