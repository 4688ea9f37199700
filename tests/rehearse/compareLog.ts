import type { Session } from '../../audio-fixtures/session.ts'
import type { Entry } from '../../src/messages/entry.ts'

/** How far a logged pour may be from the truth, seconds. */
export const tolerance = 0.15

/**
 * Says where a log differs from what a session's script expects: entries in order, none missing and none too many,
 * each with the fields that the script names, and every pour as long as it was.
 *
 * @param pours the true length of each pour, seconds
 * @returns one line a difference; none when the log is as it should be
 */
export function compareLog(
  log: readonly Entry[],
  expected: Session['log'],
  pours: readonly number[],
): string[] {
  const differences: string[] = []
  for (let at = 0; at < Math.max(log.length, expected.length); at++) {
    const [is, should] = [log[at], expected[at]]
    if (!is) differences.push(`entry ${at + 1} is missing: ${JSON.stringify(should)}`)
    else if (!should) differences.push(`entry ${at + 1} is too many: ${JSON.stringify(is)}`)
    else
      for (const [field, value] of Object.entries(should)) {
        const found: unknown = Object.entries(is).find(([name]) => name === field)?.[1]
        if (JSON.stringify(found) !== JSON.stringify(value))
          differences.push(
            `entry ${at + 1} (${is.kind}): ${field} is ${JSON.stringify(found)}, not ${JSON.stringify(value)}`,
          )
      }
  }
  const errors = shotErrors(log, pours)
  if (errors.length !== pours.length)
    differences.push(`${errors.length} shots were logged, ${pours.length} were poured`)
  errors.forEach((error, at) => {
    if (Math.abs(error) > tolerance)
      differences.push(`shot ${at + 1} is ${error.toFixed(3)} s from the truth, more than ${tolerance} s`)
  })
  return differences
}

/** By how much each logged pour is too long (positive) or too short, seconds. */
export function shotErrors(log: readonly Entry[], pours: readonly number[]): number[] {
  return log
    .flatMap((entry) => (entry.kind === 'shot' ? [entry.seconds] : []))
    .slice(0, pours.length)
    .map((seconds, at) => seconds - (pours[at] ?? NaN))
}

/** Median and worst of the sizes of errors; of no errors, NaN. */
export function medianAndWorst(errors: readonly number[]): { median: number; worst: number } {
  const sizes = errors.map(Math.abs).sort((a, b) => a - b)
  const middle = (sizes.length - 1) / 2
  const median = ((sizes[Math.floor(middle)] ?? NaN) + (sizes[Math.ceil(middle)] ?? NaN)) / 2
  return { median, worst: sizes.at(-1) ?? NaN }
}
