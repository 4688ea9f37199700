import { ByteReader } from './byteReader.ts'

/** Where in its word a triphone stands. The index is the number in the file. */
export const wordPositions = ['internal', 'begin', 'end', 'single'] as const
export type WordPosition = (typeof wordPositions)[number]

export interface BasePhone {
  name: string
  /** silence and noises: never part of a word */
  filler: boolean
  /** index of its transition matrix */
  matrix: number
  /** index into the senone sequences */
  sequence: number
}

/** The binary `mdef` of a Sphinx model: which senones make up each triphone. */
export interface ModelDefinition {
  basePhones: readonly BasePhone[]
  /** senones of each state, one list for each distinct sequence */
  sequences: readonly (readonly number[])[]
  senones: number
  /** key by {@link triphoneKey}, value an index into the sequences */
  triphones: ReadonlyMap<number, number>
}

/** One number for a phone between its neighbours, all as indexes of base phones. */
export function triphoneKey(base: number, left: number, right: number, position: WordPosition): number {
  return ((base * 256 + left) * 256 + right) * 4 + wordPositions.indexOf(position)
}

/**
 * Reads a binary `mdef`, whose header describes the format: counts, names of base phones, a context tree
 * (not needed here: the phone entries say the same), the phone entries, the senone sequences.
 *
 * @throws Error when it is not such a file, or not of the kind with one number of states for all phones
 */
export function readModelDefinition(bytes: Uint8Array): ModelDefinition {
  const reader = new ByteReader(bytes)
  if (reader.ascii(4) !== 'BMDF') throw new Error('mdef: not a little-endian binary model definition')
  const version = reader.int32()
  if (version > 1) throw new Error(`mdef: version ${version} is newer than 1`)
  reader.skip(reader.int32())

  const baseCount = reader.int32()
  const phoneCount = reader.int32()
  const states = reader.int32()
  reader.skip(4) // context-independent senones
  const senones = reader.int32()
  reader.skip(4) // transition matrices
  const sequenceCount = reader.int32()
  reader.skip(4) // phones of context
  const treeNodes = reader.int32()
  reader.skip(4) // silence
  if (states === 0) throw new Error('mdef: phones with different numbers of states are not supported')

  const names = Array.from({ length: baseCount }, () => reader.zeroTerminated())
  reader.alignTo(4)
  reader.skip(treeNodes * 8)

  const basePhones: BasePhone[] = []
  const triphones = new Map<number, number>()
  for (let index = 0; index < phoneCount; index++) {
    const sequence = reader.int32()
    const matrix = reader.int32()
    const attributes = [reader.uint8(), reader.uint8(), reader.uint8(), reader.uint8()] as const
    const name = names[index]
    if (name !== undefined) {
      basePhones.push({ name, filler: attributes[0] !== 0, matrix, sequence })
      continue
    }
    const [positionIndex, base, left, right] = attributes
    const position = wordPositions[positionIndex]
    if (position === undefined) throw new Error(`mdef: triphone ${index} has word position ${positionIndex}`)
    triphones.set(triphoneKey(base, left, right, position), sequence)
  }

  if (reader.int32() !== sequenceCount * states)
    throw new Error('mdef: unexpected number of senone sequences')
  const sequences = Array.from({ length: sequenceCount }, () =>
    Array.from({ length: states }, () => reader.uint16()),
  )
  return { basePhones, sequences, senones, triphones }
}
