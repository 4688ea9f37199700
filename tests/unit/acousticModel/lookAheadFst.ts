/**
 * Reads OpenFst's binary files of the types `const` and `olabel_lookahead` (a header, then a `const` machine, then
 * tables for looking ahead that are not read). After openfst.org's fst.h and const-fst.h.
 */

export interface FstArc {
  input: number
  output: number
  cost: number
  to: number
}

export interface ReadFst {
  type: string
  start: number
  finals: Set<number>
  /** arcs by state */
  arcs: FstArc[][]
}

const magic = 0x7eb2fdd6
const hasInputSymbols = 1
const hasOutputSymbols = 2
const isAligned = 4

export function readFst(bytes: Uint8Array): ReadFst {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  let at = 0
  const int32 = (): number => view.getInt32((at += 4) - 4, true)
  const int64 = (): number => Number(view.getBigInt64((at += 8) - 8, true))
  const text = (): string => {
    const length = int32()
    at += length
    return new TextDecoder().decode(bytes.subarray(at - length, at))
  }
  const header = (): { type: string; start: number; states: number; arcs: number } => {
    if (int32() !== magic) throw new Error('not an OpenFst file')
    const type = text()
    if (text() !== 'standard') throw new Error('arcs are not of the standard type')
    at += 4 // version
    const flags = int32()
    if ((flags & (hasInputSymbols | hasOutputSymbols | isAligned)) !== 0)
      throw new Error(`flags ${flags}: symbols and alignment are not read`)
    at += 8 // properties
    return { type, start: int64(), states: int64(), arcs: int64() }
  }

  const outer = header()
  const { start, states, arcs } = outer.type === 'const' ? outer : header()
  const finals = new Set<number>()
  const firsts: number[] = []
  const counts: number[] = []
  for (let state = 0; state < states; state++) {
    const cost = view.getFloat32(at, true)
    if (cost !== Infinity) finals.add(state)
    firsts.push(view.getUint32(at + 4, true))
    counts.push(view.getUint32(at + 8, true))
    at += 20
  }
  const all = Array.from({ length: arcs }, (): FstArc => {
    at += 16
    return {
      input: view.getInt32(at - 16, true),
      output: view.getInt32(at - 12, true),
      cost: view.getFloat32(at - 8, true),
      to: view.getInt32(at - 4, true),
    }
  })
  return {
    type: outer.type,
    start,
    finals,
    arcs: firsts.map((first, state) => all.slice(first, first + (counts[state] ?? 0))),
  }
}
