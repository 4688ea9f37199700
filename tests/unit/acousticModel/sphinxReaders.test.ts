import { describe, expect, it } from 'vitest'
import { readFeatureParameters } from '../../../acoustic-model/sphinx/featureParameters.ts'
import { coefficients, readGaussians } from '../../../acoustic-model/sphinx/gaussians.ts'
import { mixture, readMixtureWeights } from '../../../acoustic-model/sphinx/mixtureWeights.ts'
import { readModelDefinition } from '../../../acoustic-model/sphinx/modelDefinition.ts'
import { Senones } from '../../../acoustic-model/sphinx/senones.ts'
import { readTransitionMatrices } from '../../../acoustic-model/sphinx/transitionMatrices.ts'
import { randomNumbers } from './randomNumbers.ts'
import { featureParameters, tinyPhones, tinySphinx } from './tinySphinx.ts'

const tiny = tinySphinx(randomNumbers(7))
const file = (name: string): Uint8Array => tiny.files.get(name) ?? new Uint8Array()

describe('the readers of a Sphinx model', () => {
  it('read means by codebook, stream and density', () => {
    const means = readGaussians(file('means'), 'means')
    expect([means.codebooks, means.streams, means.densities, means.dimension]).toEqual([5, 3, 4, 13])
    expect(coefficients(means, 3, 2, 1)).toEqual(tiny.means.slice(((3 * 3 + 2) * 4 + 1) * 13).slice(0, 13))
  })

  it('read mixture weights as a tenth of a nat a step, summing to one', () => {
    const means = readGaussians(file('means'), 'means')
    const weights = readMixtureWeights(file('sendump'), means)
    const own = mixture(weights, 17, 1)
    expect(own.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12)
    const level = (density: number): number => tiny.weights[(1 * 4 + density) * 21 + 17] ?? NaN
    // base 1.0001 shifted by ten bits: 1024 ln 1.0001 = 0.1023949
    expect(Math.log((own[0] ?? NaN) / (own[3] ?? NaN))).toBeCloseTo(0.1023949 * (level(3) - level(0)), 4)
  })

  it('read the chance to stay in each state', () => {
    expect(readTransitionMatrices(file('transition_matrices'))[4]).toEqual([0.75, 0.75, 0.75])
  })

  it('read the binary model definition', () => {
    const definition = readModelDefinition(file('mdef'))
    expect(definition.basePhones.map(({ name }) => name)).toEqual([...tinyPhones])
    expect(definition.basePhones.map(({ filler }) => filler)).toEqual([true, true, true, false, false])
    expect(definition.senones).toBe(21)
    expect(definition.triphones.size).toBe(3)
  })

  it('read the front end and refuse one that cannot be honoured', () => {
    expect(readFeatureParameters(featureParameters)).toMatchObject({
      lowerFrequency: 130,
      filters: 25,
      lifter: 22,
    })
    expect(() => readFeatureParameters(featureParameters.replace('varnorm no', 'varnorm yes'))).toThrow(
      'feat.params: -varnorm is yes, only no is supported',
    )
    expect(() => readFeatureParameters(featureParameters.replace('-nfilt 25\n', ''))).toThrow(
      '-nfilt is missing',
    )
    expect(() => readFeatureParameters(`${featureParameters}-warp 2\n`)).toThrow('option -warp is not known')
  })

  it('say which file is broken', () => {
    expect(() => readGaussians(file('mdef'), 'means')).toThrow('means: not a Sphinx-3 parameter file')
    expect(() => readGaussians(file('means').subarray(0, 900), 'means')).toThrow(RangeError)
    expect(() => readModelDefinition(file('means'))).toThrow('mdef: not a little-endian binary')
    expect(() =>
      readMixtureWeights(file('sendump').subarray(0, 200), readGaussians(file('means'), 'means')),
    ).toThrow('sendump: file is truncated')
  })
})

describe('senones of a phone in context', () => {
  const senones = new Senones(readModelDefinition(file('mdef')))
  const of = (
    phone: string,
    left: string,
    right: string,
    position: 'internal' | 'begin' | 'end' | 'single',
  ) => senones.inContext({ phone, left, right, position }).senones

  it('are those of the triphone', () => {
    expect(of('AA', 'B', 'B', 'internal')).toEqual([15, 16, 17])
  })

  // the order of cmusphinx/pocketsphinx, bin_mdef.c, bin_mdef_phone_id_nearest
  it('fall back to the triphone of another position', () => {
    expect(of('AA', 'B', 'B', 'end')).toEqual([15, 16, 17])
  })

  it('fall back to silence in place of the neighbouring word', () => {
    expect(of('AA', 'AA', 'B', 'begin')).toEqual([18, 16, 17])
    expect(of('B', 'AA', 'B', 'end')).toEqual([12, 19, 20])
    expect(of('B', 'AA', '+NSN+', 'internal')).toEqual([12, 19, 20])
  })

  it('fall back to the phone without context', () => {
    expect(of('B', 'B', 'AA', 'internal')).toEqual([12, 13, 14])
  })

  it('belong to the codebook of their phone', () => {
    const codebooks = senones.codebooks()
    expect([0, 14, 15, 18, 20].map((senone) => codebooks[senone])).toEqual([0, 4, 3, 3, 4])
  })

  it('are refused for a phone that the model lacks', () => {
    expect(() => of('ZZ', 'B', 'B', 'internal')).toThrow('the model has no phone ZZ')
  })
})
