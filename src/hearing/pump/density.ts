/** Width in dB over which a sound that is nothing known may lie in a band, from a little below the room's floor upwards. */
export const spread = 60
export const below = 6

const root = Math.sqrt(2 * Math.PI)

/** Density of the normal distribution at `z` deviations, for a deviation of `deviation`. */
export const bell = (z: number, deviation: number): number => Math.exp(-0.5 * z * z) / (deviation * root)

/** Share of the normal distribution below `z` deviations; the logistic approximation of Bowling et al., 2009, within 0.0002. */
export const belowBell = (z: number): number => 1 / (1 + Math.exp(-z * (1.5976 + 0.070566 * z * z)))

/** Anything: evenly spread over {@link spread} dB. */
export const anyDensity = (above: number): number =>
  above < -below || above > spread - below ? 1e-4 : 1 / spread
export const anyBelow = (above: number): number => Math.min(1, Math.max(1e-4, (above + below) / spread))

/** Adds numbers given by their logarithms. */
export function logSum(logs: Float64Array, count: number): number {
  let most = -Infinity
  for (let i = 0; i < count; i++) most = Math.max(most, logs[i] as number)
  if (most === -Infinity) return most
  let sum = 0
  for (let i = 0; i < count; i++) sum += Math.exp((logs[i] as number) - most)
  return most + Math.log(sum)
}
