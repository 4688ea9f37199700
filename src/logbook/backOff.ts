/** The longest wait between tries, milliseconds. */
const longestWait = 10 * 60 * 1000

/** The next wait after one of `delay` milliseconds: twice as long, with a little chance in it so that a chain's devices do not all come back at once. */
export function backOff(delay: number, firstWait: number, chance: number = Math.random()): number {
  const next = delay === 0 ? firstWait : Math.min(delay * 2, longestWait)
  return Math.round(next * (0.75 + 0.5 * chance))
}
