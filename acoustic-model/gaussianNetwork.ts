import type { Network, NetworkNode } from './kaldi/network.ts'
import { coefficients } from './sphinx/gaussians.ts'
import { mixture } from './sphinx/mixtureWeights.ts'
import type { SphinxModel } from './sphinx/sphinxModel.ts'

/** Sphinx's floor under variances (its option `varfloor`). */
const varianceFloor = 1e-4

/** Cepstra in one stream. */
const cepstra = 13

/** Frames of the deltas of deltas: half a window. */
const reach = 3

/**
 * The network that scores senones as the Sphinx model does. One stream (cepstra, deltas, deltas of deltas)
 * after another:
 *
 * 1. a Gaussian's log-density is linear in x and x²: one affine for all of them;
 * 2. softmax over all codebooks gives densities but for a factor that is the same for every senone, and so
 *    changes nothing in the search;
 * 3. a senone is a weighted sum of its own codebook's densities: one affine a codebook;
 * 4. the logarithm; the streams' logarithms add up.
 *
 * @param senones which senones to score, in the order of the outputs
 * @param codebookOf the codebook of every senone of the model
 */
export function gaussianNetwork(
  model: SphinxModel,
  senones: readonly number[],
  codebookOf: readonly number[],
): Network {
  const codebooks = [...new Set(senones.map((senone) => codebookOf[senone] ?? 0))]
  const inOrder = codebooks.flatMap((codebook) => senones.filter((senone) => codebookOf[senone] === codebook))
  if (inOrder.some((senone, index) => senone !== senones[index]))
    throw new Error('senones must come codebook by codebook')
  const streams = Array.from({ length: model.means.streams }, (_, stream) => stream)
  const window = Array.from({ length: 2 * reach + 1 }, (_, index) => index - reach)
  return {
    inputSize: cepstra,
    nodes: [
      {
        kind: 'component',
        name: 'dynamic',
        input: `Append(${window.map((offset) => (offset === 0 ? 'input' : `Offset(input, ${offset})`)).join(', ')})`,
        component: dynamicFeatures(window),
      },
      {
        kind: 'component',
        name: 'squares',
        input: 'Append(dynamic, dynamic)',
        component: { kind: 'product', outputs: 3 * cepstra },
      },
      ...streams.flatMap((stream) => streamNodes(model, stream, codebooks, senones, codebookOf)),
    ],
    output: 'Sum(score0, Sum(score1, score2))',
    leftContext: reach,
    rightContext: reach,
  }
}

/** Deltas over ±2 frames and their differences over ±1, as Sphinx's `1s_c_d_dd`. */
function dynamicFeatures(
  window: readonly number[],
): Extract<NetworkNode, { kind: 'component' }>['component'] {
  const columns = window.length * cepstra
  const values = new Float64Array(3 * cepstra * columns)
  const add = (stream: number, offset: number, factor: number): void => {
    for (let order = 0; order < cepstra; order++)
      values[(stream * cepstra + order) * columns + window.indexOf(offset) * cepstra + order] = factor
  }
  add(0, 0, 1)
  add(1, 2, 1)
  add(1, -2, -1)
  add(2, 3, 1)
  add(2, -1, -1)
  add(2, 1, -1)
  add(2, -3, 1)
  return {
    kind: 'affine',
    linear: { rows: 3 * cepstra, columns, values },
    bias: new Float64Array(3 * cepstra),
  }
}

function streamNodes(
  model: SphinxModel,
  stream: number,
  codebooks: readonly number[],
  senones: readonly number[],
  codebookOf: readonly number[],
): NetworkNode[] {
  const { densities } = model.means
  const range = (name: string, input: string, offset: number, size: number): NetworkNode => ({
    kind: 'range',
    name,
    input,
    offset,
    size,
  })
  const mixtures = codebooks.flatMap((codebook, place): NetworkNode[] => {
    const own = senones.filter((senone) => codebookOf[senone] === codebook)
    return [
      range(`densities${stream}_${place}`, `softmax${stream}`, place * densities, densities),
      {
        kind: 'component',
        name: `mixtures${stream}_${place}`,
        input: `densities${stream}_${place}`,
        component: {
          kind: 'affine',
          linear: {
            rows: own.length,
            columns: densities,
            values: own.flatMap((senone) => [...mixture(model.weights, senone, stream)]),
          },
          bias: new Float64Array(own.length),
        },
      },
    ]
  })
  return [
    range(`linear${stream}`, 'dynamic', stream * cepstra, cepstra),
    range(`square${stream}`, 'squares', stream * cepstra, cepstra),
    {
      kind: 'component',
      name: `gaussians${stream}`,
      input: `Append(linear${stream}, square${stream})`,
      component: logDensities(model, stream, codebooks),
    },
    {
      kind: 'component',
      name: `softmax${stream}`,
      input: `gaussians${stream}`,
      component: { kind: 'softmax', size: codebooks.length * densities },
    },
    ...mixtures,
    {
      kind: 'component',
      name: `logarithm${stream}`,
      input: `Append(${codebooks.map((_, place) => `mixtures${stream}_${place}`).join(', ')})`,
      component: { kind: 'logarithm', size: senones.length },
    },
    {
      kind: 'component',
      name: `score${stream}`,
      input: `logarithm${stream}`,
      // each pair is (x over its own size, ln of the size): the first is the same for every senone
      component: { kind: 'sum of groups', groups: senones.length, width: 2 },
    },
  ]
}

/** Rows of [mean / variance, -1 / (2 variance)] and the constant of each Gaussian. */
function logDensities(
  model: SphinxModel,
  stream: number,
  codebooks: readonly number[],
): Extract<NetworkNode, { kind: 'component' }>['component'] {
  const { densities, dimension } = model.means
  const rows = codebooks.length * densities
  const values = new Float64Array(rows * 2 * dimension)
  const bias = new Float64Array(rows)
  codebooks.forEach((codebook, place) => {
    for (let density = 0; density < densities; density++) {
      const row = place * densities + density
      const means = coefficients(model.means, codebook, stream, density)
      const variances = coefficients(model.variances, codebook, stream, density)
      means.forEach((mean, order) => {
        const variance = Math.max(variances[order] ?? 0, varianceFloor)
        values[row * 2 * dimension + order] = mean / variance
        values[row * 2 * dimension + dimension + order] = -0.5 / variance
        bias[row] = (bias[row] ?? 0) - 0.5 * (Math.log(2 * Math.PI * variance) + mean ** 2 / variance)
      })
    }
  })
  return { kind: 'affine', linear: { rows, columns: 2 * dimension, values }, bias }
}
