/**
 * The arithmetic of the acoustic network, in AssemblyScript: `compileKernel.ts` makes WebAssembly with SIMD of it.
 * All vectors are 32-bit floats in the imported memory; addresses are in bytes.
 */

/**
 * For each of `frames` frames: output = bias + weights x input, or output += weights x input.
 *
 * @param weights row after row; `columns` is a multiple of 4, `rows` of 4
 * @param bias as many as rows; 0 adds to what is in the output already
 * @param inputStep bytes from one frame's input to the next one's; likewise outputStep
 */
export function affine(
  weights: usize,
  bias: usize,
  rows: i32,
  columns: i32,
  input: usize,
  inputStep: usize,
  output: usize,
  outputStep: usize,
  frames: i32,
): void {
  const rowBytes: usize = (<usize>columns) << 2
  // four rows at a time stay in the fastest cache while every frame passes them
  for (let row = 0; row < rows; row += 4) {
    const first: usize = weights + <usize>row * rowBytes
    for (let frame = 0; frame < frames; frame++) {
      let x: usize = input + <usize>frame * inputStep
      const end: usize = x + rowBytes
      let w: usize = first
      let a = f32x4.splat(0)
      let b = f32x4.splat(0)
      let c = f32x4.splat(0)
      let d = f32x4.splat(0)
      while (x < end) {
        const value = v128.load(x)
        a = f32x4.add(a, f32x4.mul(value, v128.load(w)))
        b = f32x4.add(b, f32x4.mul(value, v128.load(w + rowBytes)))
        c = f32x4.add(c, f32x4.mul(value, v128.load(w + 2 * rowBytes)))
        d = f32x4.add(d, f32x4.mul(value, v128.load(w + 3 * rowBytes)))
        x += 16
        w += 16
      }
      // the sums across each of the four, side by side
      const ab = f32x4.add(v128.shuffle<f32>(a, b, 0, 4, 1, 5), v128.shuffle<f32>(a, b, 2, 6, 3, 7))
      const cd = f32x4.add(v128.shuffle<f32>(c, d, 0, 4, 1, 5), v128.shuffle<f32>(c, d, 2, 6, 3, 7))
      const sums = f32x4.add(v128.shuffle<f32>(ab, cd, 0, 1, 4, 5), v128.shuffle<f32>(ab, cd, 2, 3, 6, 7))
      const at: usize = output + <usize>frame * outputStep + ((<usize>row) << 2)
      const before = bias === 0 ? v128.load(at) : v128.load(bias + ((<usize>row) << 2))
      v128.store(at, f32x4.add(before, sums))
    }
  }
}

/** output = max(input, 0), `size` values, a multiple of 4. */
export function rectify(input: usize, output: usize, size: i32): void {
  for (let at: usize = 0; at < (<usize>size) << 2; at += 16) {
    v128.store(output + at, f32x4.max(v128.load(input + at), f32x4.splat(0)))
  }
}

/** output = one + other, `size` values, a multiple of 4. */
export function add(one: usize, other: usize, output: usize, size: i32): void {
  for (let at: usize = 0; at < (<usize>size) << 2; at += 16) {
    v128.store(output + at, f32x4.add(v128.load(one + at), v128.load(other + at)))
  }
}
