import { quantile, type Outcome } from './score.ts'

/**
 * The sound goes through the very modules of the page (20 ms pieces of 48 kHz sound, suppression, resampling,
 * recogniser in its worker) in Chromium, as fast as they go. Not in it: the browser's own microphone and audio thread,
 * whose 20 ms pieces and the suppressor's 20 ms are added to the latency.
 */
const before = 0.02 + 0.02

/** What came of a set's trials: of commands and of words how many were heard, of talk how many commands it made. */
export function summary(outcomes: readonly Outcome[], seconds: number, isTalk: boolean) {
  const hasty = sum(outcomes.map((outcome) => outcome.hasty))
  if (isTalk) {
    const falseOnes = sum(outcomes.map(({ commands }) => commands))
    return {
      trials: outcomes.length,
      hours: rounded(seconds / 3600, 3),
      falseOnes,
      falsePerHour: rounded((3600 * falseOnes) / seconds, 1),
      hasty,
    }
  }
  const words = sum(outcomes.map((outcome) => outcome.words.all))
  return {
    trials: outcomes.length,
    right: share(outcomes, 'right'),
    wrong: share(outcomes, 'wrong'),
    missed: share(outcomes, 'missed'),
    ...(words > 0 ? { words: rounded(sum(outcomes.map((outcome) => outcome.words.right)) / words, 3) } : {}),
    hasty,
    latency: spread(latencies(outcomes.filter(({ isUrgent }) => !isUrgent))),
    urgentLatency: spread(latencies(outcomes.filter(({ isUrgent }) => isUrgent))),
    onsetError: spread(
      outcomes.flatMap(({ onsetError }) => (onsetError === null ? [] : [Math.abs(onsetError)])),
    ),
  }
}

function latencies(outcomes: readonly Outcome[]): number[] {
  return outcomes.flatMap(({ latency, verdict }) =>
    latency === null || verdict !== 'right' ? [] : [latency + before],
  )
}

/** The share of outcomes with a verdict. */
export function share(outcomes: readonly Outcome[], verdict: Outcome['verdict']): number {
  return rounded(
    outcomes.filter((outcome) => outcome.verdict === verdict).length / Math.max(1, outcomes.length),
    3,
  )
}

function spread(numbers: readonly number[]) {
  if (numbers.length === 0) return null
  return { median: rounded(quantile(numbers, 0.5) ?? 0, 3), p95: rounded(quantile(numbers, 0.95) ?? 0, 3) }
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0)
}

export function rounded(value: number, digits = 2): number {
  return Number(value.toFixed(digits))
}

/** A result on one line, for people. */
export function line(result: object): string {
  return Object.entries(result)
    .filter(([, value]) => value !== null && value !== undefined)
    .map(([name, value]) =>
      typeof value === 'object' ? `${name} ${JSON.stringify(value)}` : `${name} ${value}`,
    )
    .join(', ')
}
