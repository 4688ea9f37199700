/** A Sphinx model small enough to be made in a test, as the bytes of its files. Its numbers are arbitrary. */

const states = 3
const streams = 3
const densities = 4
const dimension = 13

/** Base phones in the order of the file; the first three are fillers. */
export const tinyPhones = ['+NSN+', '+SPN+', 'SIL', 'AA', 'B'] as const

/** Triphones: base, left, right, word position (0 internal, 1 begin, 2 end, 3 single), senones. */
export const tinyTriphones = [
  { base: 'AA', left: 'B', right: 'B', position: 0, senones: [15, 16, 17] },
  { base: 'AA', left: 'SIL', right: 'B', position: 1, senones: [18, 16, 17] },
  { base: 'B', left: 'AA', right: 'SIL', position: 2, senones: [12, 19, 20] },
] as const

/** Senones: three for each base phone, then those of triphones. */
const senones = 21

export interface TinyModel {
  files: Map<string, Uint8Array>
  means: Float32Array
  variances: Float32Array
  /** quantised mixture weights in the order stream, density, senone */
  weights: Uint8Array
}

/** @param random gives numbers from 0 to 1 */
export function tinySphinx(random: () => number): TinyModel {
  const gaussians = tinyPhones.length * streams * densities * dimension
  const means = Float32Array.from({ length: gaussians }, () => 6 * random() - 3)
  const variances = Float32Array.from({ length: gaussians }, () => 0.5 + 4 * random())
  const weights = Uint8Array.from({ length: streams * densities * senones }, () => Math.floor(90 * random()))
  const matrices = tinyPhones.flatMap(() =>
    [0, 1, 2].flatMap((state) => [0, 1, 2, 3].map((to) => (to === state ? 3 : to === state + 1 ? 1 : 0))),
  )
  return {
    means,
    variances,
    weights,
    files: new Map([
      ['means', gaussianFile(means)],
      ['variances', gaussianFile(variances)],
      [
        'transition_matrices',
        parameterFile([
          ...int32s(tinyPhones.length, states, states + 1, matrices.length),
          ...float32s(matrices),
        ]),
      ],
      ['sendump', sendump(weights)],
      ['mdef', mdef()],
      ['feat.params', new TextEncoder().encode(featureParameters)],
    ]),
  }
}

export const featureParameters = `-lowerf 130
-upperf 6800
-nfilt 25
-transform dct
-lifter 22
-feat 1s_c_d_dd
-svspec 0-12/13-25/26-38
-agc none
-cmn batch
-varnorm no
-model ptm
-cmninit 41.00,-5.29,-0.12,5.09,2.48,-4.07,-1.37,-1.78,-5.08,-2.05,-6.45,-1.42,1.17
`

function gaussianFile(values: Float32Array): Uint8Array {
  const sizes = int32s(tinyPhones.length, streams, densities, dimension, dimension, dimension, values.length)
  return parameterFile([...sizes, ...float32s(values)])
}

function parameterFile(data: readonly number[]): Uint8Array {
  return Uint8Array.from([...ascii('s3\nversion 1.0\nchksum0 no\nendhdr\n'), ...int32s(0x11223344), ...data])
}

function sendump(weights: Uint8Array): Uint8Array {
  const lines = ['cluster_count 0', 'feature_count 3'].flatMap((line) => [
    ...int32s(line.length + 1),
    ...ascii(`${line}\0`),
  ])
  return Uint8Array.from([...lines, ...int32s(0, densities, senones), ...weights])
}

function mdef(): Uint8Array {
  const description = ascii('described here!\0')
  const names = tinyPhones.flatMap((phone) => ascii(`${phone}\0`))
  const padding = new Array<number>((4 - ((12 + description.length + 40 + names.length) % 4)) % 4).fill(0)
  const sequences = [
    ...tinyPhones.map((_, phone) => [0, 1, 2].map((state) => 3 * phone + state)),
    ...tinyTriphones.map(({ senones: own }) => [...own]),
  ]
  const index = (phone: string): number => tinyPhones.findIndex((other) => other === phone)
  const entries = [
    ...tinyPhones.map((_, phone) => [...int32s(phone, phone), phone < 3 ? 1 : 0, 0, 0, 0]),
    ...tinyTriphones.map(({ base, left, right, position }, triphone) => [
      ...int32s(tinyPhones.length + triphone, index(base)),
      position,
      index(base),
      index(left),
      index(right),
    ]),
  ]
  const counts = int32s(
    tinyPhones.length,
    entries.length,
    states,
    3 * tinyPhones.length,
    senones,
    tinyPhones.length,
    sequences.length,
    3,
    0,
    index('SIL'),
  )
  return Uint8Array.from([
    ...ascii('BMDF'),
    ...int32s(1, description.length),
    ...description,
    ...counts,
    ...names,
    ...padding,
    ...entries.flat(),
    ...int32s(sequences.length * states),
    ...sequences.flat().flatMap((senone) => [senone & 255, senone >> 8]),
  ])
}

function ascii(text: string): number[] {
  return [...new TextEncoder().encode(text)]
}

function int32s(...values: number[]): number[] {
  return [...new Uint8Array(Int32Array.from(values).buffer)]
}

function float32s(values: ArrayLike<number>): number[] {
  return [...new Uint8Array(Float32Array.from(values).buffer)]
}
