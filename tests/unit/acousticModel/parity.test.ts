import { describe, expect, it } from 'vitest'
import { gaussianNetwork } from '../../../acoustic-model/gaussianNetwork.ts'
import { BinaryWriter } from '../../../acoustic-model/kaldi/binaryWriter.ts'
import { writeNetwork } from '../../../acoustic-model/kaldi/network.ts'
import { readSphinxModel, type SphinxModel } from '../../../acoustic-model/sphinx/sphinxModel.ts'
import { Senones } from '../../../acoustic-model/sphinx/senones.ts'
import { evaluateNetwork } from './evaluateNetwork.ts'
import { KaldiReader } from './kaldiReader.ts'
import { pocketsphinxScores } from './pocketsphinxScores.ts'
import { randomNumbers } from './randomNumbers.ts'
import { tinySphinx, type TinyModel } from './tinySphinx.ts'
import { inTinyFolder } from './inTinyFolder.ts'

function features(random: () => number, frames: number): Float64Array[] {
  return Array.from({ length: frames }, () => Float64Array.from({ length: 13 }, () => 4 * random() - 2))
}

/** The network of these senones as it comes back from its bytes, evaluated. */
function networkScores(
  model: SphinxModel,
  senones: readonly number[],
  frames: readonly Float64Array[],
): Float64Array[] {
  const codebooks = new Senones(model.definition).codebooks()
  const writer = new BinaryWriter()
  writeNetwork(writer, gaussianNetwork(model, senones, codebooks))
  return evaluateNetwork(new KaldiReader(writer.result()).network(), frames)
}

/**
 * The Sphinx model's own formula in double precision, from the raw numbers: over three streams (cepstra, deltas over
 * two frames, differences of those over one), the logarithm of the weighted sum of normal densities.
 */
function sphinxScore(
  { means, variances, weights }: TinyModel,
  codebook: number,
  senone: number,
  frames: readonly Float64Array[],
  at: number,
): number {
  const frame = (offset: number, order: number): number =>
    frames[Math.min(Math.max(at + offset, 0), frames.length - 1)]?.[order] ?? NaN
  const dynamic = (stream: number, order: number): number => {
    if (stream === 0) return frame(0, order)
    if (stream === 1) return frame(2, order) - frame(-2, order)
    return frame(3, order) - frame(-1, order) - (frame(1, order) - frame(-3, order))
  }
  let score = 0
  for (let stream = 0; stream < 3; stream++) {
    let sum = 0
    let norm = 0
    for (let density = 0; density < 4; density++) {
      const weight = 1.0001 ** (-1024 * (weights[(stream * 4 + density) * 21 + senone] ?? NaN))
      let exponent = 0
      for (let order = 0; order < 13; order++) {
        const index = ((codebook * 3 + stream) * 4 + density) * 13 + order
        const variance = variances[index] ?? NaN
        exponent +=
          ((dynamic(stream, order) - (means[index] ?? NaN)) ** 2 / variance +
            Math.log(2 * Math.PI * variance)) /
          2
      }
      sum += weight * Math.exp(-exponent)
      norm += weight
    }
    score += Math.log(sum / norm)
  }
  return score
}

describe('the network of a Sphinx model', () => {
  it('scores senones as the Gaussian mixtures do, but for a constant a frame', () => {
    const random = randomNumbers(3)
    const tiny = tinySphinx(random)
    const frames = features(random, 6)
    const model = inTinyFolder(tiny, readSphinxModel)
    // by codebook: +NSN+ 0, SIL 6 to 8, AA 9 to 11 and 15 to 18, B 12 to 14, 19, 20
    const senones = [0, 6, 7, 8, 9, 10, 11, 15, 16, 17, 18, 12, 13, 14, 19, 20]
    const codebookOf = (senone: number): number =>
      [0, 1, 2, 3, 4, 3, 3][senone < 15 ? Math.floor(senone / 3) : senone < 19 ? 5 : NaN] ?? 4
    const scores = networkScores(model, senones, frames)
    frames.forEach((_, at) => {
      const expected = senones.map((senone) => sphinxScore(tiny, codebookOf(senone), senone, frames, at))
      const constant = (scores[at]?.[0] ?? NaN) - (expected[0] ?? NaN)
      senones.forEach((_, output) => {
        expect((scores[at]?.[output] ?? NaN) - constant).toBeCloseTo(expected[output] ?? NaN, 3)
      })
    })
  })
})

const installed = pocketsphinxScores()

describe.skipIf(installed === null)('the network of the installed Sphinx model', () => {
  it("agrees with pocketsphinx's own scores to their rounding", () => {
    if (installed === null) return
    const { model, cepstra, scores } = installed
    const codebooks = new Senones(model.definition).codebooks()
    const senones = Array.from({ length: model.definition.senones }, (_, senone) => senone)
      .filter((senone) => senone % 17 === 0)
      .sort((a, b) => (codebooks[a] ?? 0) - (codebooks[b] ?? 0) || a - b)
    const mean = Float64Array.from(
      { length: 13 },
      (_, order) => cepstra.reduce((sum, row) => sum + (row[order] ?? 0), 0) / cepstra.length,
    )
    const frames = cepstra.map((row) => row.map((value, order) => value - (mean[order] ?? 0)))
    const network = networkScores(model, senones, frames)
    const differences: number[] = []
    network.forEach((row, at) => {
      const ours = senones.map((_, output) => row[output] ?? NaN)
      const theirs = senones.map((senone) => scores[at]?.[senone] ?? NaN)
      // the best of them: pocketsphinx cuts off the tails
      const best = senones
        .map((_, output) => output)
        .sort((a, b) => (ours[b] ?? 0) - (ours[a] ?? 0))
        .slice(0, 12)
      const average = (values: number[]): number =>
        best.reduce((sum, output) => sum + (values[output] ?? NaN), 0) / best.length
      const [ourMean, theirMean] = [average(ours), average(theirs)]
      for (const output of best)
        differences.push(Math.abs((ours[output] ?? NaN) - ourMean - ((theirs[output] ?? NaN) - theirMean)))
    })
    differences.sort((a, b) => a - b)
    // pocketsphinx rounds the logarithm of every density and weight to 0.1 nat
    expect(differences[Math.floor(differences.length / 2)]).toBeLessThan(0.2)
    expect(differences[Math.floor(0.9 * differences.length)]).toBeLessThan(0.8)
  })
})
