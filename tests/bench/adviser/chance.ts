/** Random numbers of the outside simulator: sfc32, a public-domain generator of 32 bits by Chris Doty-Humphrey. */
export interface Chance {
  /** 0 to 1, 1 excluded */
  uniform(): number
  between(low: number, high: number): number
  /** standard normal, by the sum of Box and Muller */
  normal(): number
}

export function chanceFrom(seed: number): Chance {
  let [a, b, c, d] = [0x9e3779b9 ^ seed, 0x243f6a88, 0xb7e15162 ^ Math.imul(seed, 2654435761), 1]
  const uniform = (): number => {
    const sum = (((a + b) | 0) + d) | 0
    d = (d + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = ((c << 21) | (c >>> 11)) + sum
    return (sum >>> 0) / 2 ** 32
  }
  for (let index = 0; index < 12; index += 1) uniform()
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    normal: () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform()),
  }
}
