/**
 * A stream of random numbers that starts from a number and can be put down and taken up again: `state` goes into
 * a plain value, and `randomFrom(state)` goes on where it stopped. Mulberry32, a public-domain generator of 32 bits.
 */
export interface Random {
  /** 0 to 1, 1 excluded */
  uniform(): number
  /** standard normal, by the polar method of Box, Muller and Marsaglia */
  normal(): number
  /** where the stream stands */
  state(): number
}

export function randomFrom(start: number): Random {
  let state = start >>> 0
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32
  }
  const normal = (): number => {
    for (;;) {
      const x = 2 * uniform() - 1
      const y = 2 * uniform() - 1
      const square = x * x + y * y
      if (square > 0 && square < 1) return x * Math.sqrt((-2 * Math.log(square)) / square)
    }
  }
  return { uniform, normal, state: () => state }
}
