/** A matrix in row-major order. */
export interface Matrix {
  rows: number
  columns: number
  values: ArrayLike<number>
}

/** A matrix in row-major order, of 16-bit steps between its least and its greatest value. */
export interface SteppedMatrix {
  rows: number
  columns: number
  least: number
  /** greatest minus least */
  range: number
  /** 0 is the least value, 65535 the greatest */
  steps: Uint16Array
}

/**
 * Writes Kaldi's binary format, little-endian: tokens end in a space, a number is preceded by its size in
 * bytes, a vector or matrix by its kind. (kaldi-asr/kaldi, src/base/io-funcs and src/matrix.)
 */
export class BinaryWriter {
  private bytes = new Uint8Array(1 << 16)
  private view = new DataView(this.bytes.buffer)
  private length = 0

  result(): Uint8Array {
    return this.bytes.slice(0, this.length)
  }

  text(text: string): void {
    const bytes = new TextEncoder().encode(text)
    const at = this.reserve(bytes.length)
    this.bytes.set(bytes, at)
  }

  /** The mark at the start of a binary file. */
  binaryMark(): void {
    this.text('\0B')
  }

  token(name: string): void {
    this.text(`${name} `)
  }

  bool(value: boolean): void {
    this.text(value ? 'T' : 'F')
  }

  int32(value: number): void {
    this.rawInt8(4)
    this.rawInt32(value)
  }

  float(value: number): void {
    this.rawInt8(4)
    this.rawFloat(value)
  }

  double(value: number): void {
    this.rawInt8(8)
    this.rawDouble(value)
  }

  int32Vector(values: readonly number[]): void {
    this.int32(values.length)
    for (const value of values) this.rawInt32(value)
  }

  floatVector(values: ArrayLike<number>): void {
    this.token('FV')
    this.int32(values.length)
    for (const value of Array.from(values)) this.rawFloat(value)
  }

  floatMatrix(matrix: Matrix): void {
    this.token('FM')
    this.matrixSize(matrix)
    for (const value of Array.from(matrix.values)) this.rawFloat(value)
  }

  /** In Kaldi's compressed form of two bytes a value, which reads back as any matrix does. */
  steppedMatrix({ rows, columns, least, range, steps }: SteppedMatrix): void {
    if (steps.length !== rows * columns)
      throw new Error(`${steps.length} steps for a ${rows} x ${columns} matrix`)
    this.token('CM2')
    this.rawFloat(least)
    this.rawFloat(range)
    this.rawInt32(rows)
    this.rawInt32(columns)
    const at = this.reserve(2 * steps.length)
    steps.forEach((step, index) => this.view.setUint16(at + 2 * index, step, true))
  }

  doubleMatrix(matrix: Matrix): void {
    this.token('DM')
    this.matrixSize(matrix)
    for (const value of Array.from(matrix.values)) this.rawDouble(value)
  }

  private matrixSize({ rows, columns, values }: Matrix): void {
    if (values.length !== rows * columns)
      throw new Error(`${values.length} values for a ${rows} x ${columns} matrix`)
    this.int32(rows)
    this.int32(columns)
  }

  private rawInt8(value: number): void {
    const at = this.reserve(1)
    this.view.setInt8(at, value)
  }

  private rawInt32(value: number): void {
    const at = this.reserve(4)
    this.view.setInt32(at, value, true)
  }

  private rawFloat(value: number): void {
    const at = this.reserve(4)
    this.view.setFloat32(at, value, true)
  }

  private rawDouble(value: number): void {
    const at = this.reserve(8)
    this.view.setFloat64(at, value, true)
  }

  private reserve(count: number): number {
    const at = this.length
    if (at + count > this.bytes.length) {
      const grown = new Uint8Array(2 * (at + count))
      grown.set(this.bytes)
      this.bytes = grown
      this.view = new DataView(grown.buffer)
    }
    this.length = at + count
    return at
  }
}
