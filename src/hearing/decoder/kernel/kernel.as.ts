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
    let frame = 0
    // two frames at a time share what is loaded of the weights
    for (; frame + 1 < frames; frame += 2) {
      let x: usize = input + <usize>frame * inputStep
      const end: usize = x + rowBytes
      let w: usize = first
      let a = f32x4.splat(0)
      let b = f32x4.splat(0)
      let c = f32x4.splat(0)
      let d = f32x4.splat(0)
      let e = f32x4.splat(0)
      let f = f32x4.splat(0)
      let g = f32x4.splat(0)
      let h = f32x4.splat(0)
      while (x < end) {
        const one = v128.load(x)
        const two = v128.load(x + inputStep)
        let weight = v128.load(w)
        a = f32x4.add(a, f32x4.mul(one, weight))
        e = f32x4.add(e, f32x4.mul(two, weight))
        weight = v128.load(w + rowBytes)
        b = f32x4.add(b, f32x4.mul(one, weight))
        f = f32x4.add(f, f32x4.mul(two, weight))
        weight = v128.load(w + 2 * rowBytes)
        c = f32x4.add(c, f32x4.mul(one, weight))
        g = f32x4.add(g, f32x4.mul(two, weight))
        weight = v128.load(w + 3 * rowBytes)
        d = f32x4.add(d, f32x4.mul(one, weight))
        h = f32x4.add(h, f32x4.mul(two, weight))
        x += 16
        w += 16
      }
      const at: usize = output + <usize>frame * outputStep + ((<usize>row) << 2)
      store(at, bias, row, sums(a, b, c, d))
      store(at + outputStep, bias, row, sums(e, f, g, h))
    }
    for (; frame < frames; frame++) {
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
      store(output + <usize>frame * outputStep + ((<usize>row) << 2), bias, row, sums(a, b, c, d))
    }
  }
}

/** The sum across each of four vectors, side by side. */
function sums(a: v128, b: v128, c: v128, d: v128): v128 {
  const ab = f32x4.add(v128.shuffle<f32>(a, b, 0, 4, 1, 5), v128.shuffle<f32>(a, b, 2, 6, 3, 7))
  const cd = f32x4.add(v128.shuffle<f32>(c, d, 0, 4, 1, 5), v128.shuffle<f32>(c, d, 2, 6, 3, 7))
  return f32x4.add(v128.shuffle<f32>(ab, cd, 0, 1, 4, 5), v128.shuffle<f32>(ab, cd, 2, 3, 6, 7))
}

function store(at: usize, bias: usize, row: i32, sums: v128): void {
  v128.store(at, f32x4.add(bias === 0 ? v128.load(at) : v128.load(bias + ((<usize>row) << 2)), sums))
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
