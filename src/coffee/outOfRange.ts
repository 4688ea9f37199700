/** A value that cannot be right: says which value it was and what range it must lie in. Nothing is clamped. */
export class OutOfRange extends RangeError {
  override readonly name = 'OutOfRange'

  constructor(
    /** which value, in plain words: "time of the shot" */
    readonly what: string,
    readonly value: unknown,
    readonly low: number,
    readonly high: number,
    /** "seconds", "grams"; empty for a plain number */
    readonly unit: string,
  ) {
    super(`${what} must be from ${low} to ${high}${unit === '' ? '' : ` ${unit}`}, not ${String(value)}`)
  }
}

/** Gives the value back when it is a finite number from `low` to `high`, both included.
 * @throws OutOfRange otherwise, so also for NaN and infinities */
export function inRange(what: string, value: number, low: number, high: number, unit: string): number {
  if (!Number.isFinite(value) || value < low || value > high)
    throw new OutOfRange(what, value, low, high, unit)
  return value
}

/** As {@link inRange}, for a whole number. */
export function wholeInRange(what: string, value: number, low: number, high: number, unit: string): number {
  if (!Number.isInteger(value) || value < low || value > high)
    throw new OutOfRange(
      what,
      value,
      low,
      high,
      unit === '' ? 'in whole numbers' : `${unit} in whole numbers`,
    )
  return value
}
