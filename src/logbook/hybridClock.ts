/** How far behind the log a clock may be and still be taken for a clock set back a little: one day, in milliseconds. */
export const clockTolerance = 24 * 60 * 60 * 1000

/**
 * The stamp of the next record, in milliseconds: the bar's time, but never before the last stamp seen on any device,
 * so that a clock that was set back, or another device's faster clock, cannot put a later record before an earlier
 * one (a hybrid logical clock: Kulkarni and others, "Logical Physical Clocks", 2014).
 *
 * A last stamp more than a day ahead was made by a clock that was wrong by days; it is not followed, or one bad
 * morning would date every record after it.
 */
export function nextStamp(at: number, last: number): number {
  const now = Math.round(at * 1000)
  return last - now > clockTolerance ? now : Math.max(now, last)
}
