/** Walks through little-endian binary data. Reading past the end throws a RangeError. */
export class ByteReader {
  private readonly view: DataView
  private position: number

  constructor(
    private readonly bytes: Uint8Array,
    start = 0,
  ) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    this.position = start
  }

  get offset(): number {
    return this.position
  }

  skip(count: number): void {
    this.position += count
  }

  alignTo(size: number): void {
    this.position = Math.ceil(this.position / size) * size
  }

  uint8(): number {
    return this.view.getUint8(this.advance(1))
  }

  uint16(): number {
    return this.view.getUint16(this.advance(2), true)
  }

  int32(): number {
    return this.view.getInt32(this.advance(4), true)
  }

  uint32(): number {
    return this.view.getUint32(this.advance(4), true)
  }

  int32s(count: number): number[] {
    return Array.from({ length: count }, () => this.int32())
  }

  float32s(count: number): Float32Array {
    return Float32Array.from({ length: count }, () => this.view.getFloat32(this.advance(4), true))
  }

  ascii(count: number): string {
    const start = this.advance(count)
    return new TextDecoder('latin1').decode(this.bytes.subarray(start, start + count))
  }

  /** A string that ends with a zero byte, without that byte. */
  zeroTerminated(): string {
    const end = this.bytes.indexOf(0, this.position)
    if (end < 0) throw new RangeError(`no zero byte after offset ${this.position}`)
    const text = this.ascii(end - this.position)
    this.skip(1)
    return text
  }

  private advance(count: number): number {
    const at = this.position
    if (at + count > this.bytes.length)
      throw new RangeError(`data ends at ${this.bytes.length}, ${count} bytes wanted at ${at}`)
    this.position += count
    return at
  }
}
