import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { SteppedMatrix } from './kaldi/binaryWriter.ts'
import type { Network, NetworkNode } from './kaldi/network.ts'

/** What `train/export.py` writes. */
interface Listing {
  /** silence first; output 2p scores the first frame of phone p, output 2p + 1 every further one */
  phones: string[]
  inputSize: number
  leftContext: number
  rightContext: number
  subsampling: number
  /** text of `conf/fbank.conf` */
  features: string
  output: string
  nodes: (
    | {
        name: string
        kind: 'affine'
        input: string
        rows: number
        columns: number
        least: number
        range: number
      }
    | { name: string; kind: 'rectified' | 'copy'; input: string; size: number }
  )[]
}

export interface TrainedNetwork {
  network: Network
  phones: readonly string[]
  features: string
}

/**
 * Reads a trained network: `network.json`, and `network.bin` with the matrices in the order of the nodes (two
 * bytes a value), padded to four bytes, then their biases (four bytes a value).
 *
 * @throws Error when the sizes of the two files do not agree
 */
export function readTrainedNetwork(folder: string): TrainedNetwork {
  const listing = JSON.parse(readFileSync(join(folder, 'network.json'), 'utf8')) as Listing
  const bytes = Uint8Array.from(readFileSync(join(folder, 'network.bin'))).buffer
  const affine = listing.nodes.filter((node) => node.kind === 'affine')
  const steps = affine.reduce((sum, { rows, columns }) => sum + rows * columns, 0)
  const biasAt = Math.ceil(steps / 2) * 4
  const expected = biasAt + 4 * affine.reduce((sum, { rows }) => sum + rows, 0)
  if (bytes.byteLength !== expected)
    throw new Error(`network.bin has ${bytes.byteLength} bytes; network.json wants ${expected}`)

  let matrixAt = 0
  let biasOffset = biasAt
  const nodes = listing.nodes.map((node): NetworkNode => {
    const { name, input } = node
    if (node.kind !== 'affine')
      return { kind: 'component', name, input, component: { kind: node.kind, size: node.size } }
    const { rows, columns, least, range } = node
    const linear: SteppedMatrix = {
      rows,
      columns,
      least,
      range,
      steps: new Uint16Array(bytes, matrixAt, rows * columns),
    }
    const bias = new Float32Array(bytes, biasOffset, rows)
    matrixAt += 2 * rows * columns
    biasOffset += 4 * rows
    return { kind: 'component', name, input, component: { kind: 'affine', linear, bias } }
  })
  const { inputSize, leftContext, rightContext, output, phones, features } = listing
  return { network: { inputSize, nodes, output, leftContext, rightContext }, phones, features }
}
