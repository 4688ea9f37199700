import type { Cue } from '../../messages/cue.ts'
import type { DrillEnded } from './drillContext.ts'

/** One scored drill. */
export interface DrillRecord {
  readonly drill: string
  /** `null`: whoever had said no number */
  readonly person: number | null
  readonly at: number
  readonly score: number
  readonly passed: boolean
}

/** Records kept in all; the log has every one. */
const most = 200

/** The records with one more. */
export function withScore(
  records: readonly DrillRecord[],
  { drill, score, at }: DrillEnded,
  person: number | null,
): readonly DrillRecord[] {
  if (!score) return records
  return [...records.slice(1 - most), { drill, person, at, score: score.score, passed: score.passed }]
}

/** The day of a bar time where the device is, counted from 1970. */
function dayOf(at: number): number {
  const date = new Date(at * 1000)
  return Math.round(Date.UTC(date.getFullYear(), date.getMonth(), date.getDate()) / 86_400_000)
}

/**
 * "My progress": each drill that the person has done, how often, how often passed, the last score and when it was.
 *
 * @param now bar clock
 */
export function progressCue(records: readonly DrillRecord[], person: number | null, now: number): Cue[] {
  const own = records.filter((record) => record.person === person)
  if (own.length === 0) return [{ kind: 'say', sentence: 'drill.progress.none', priority: 'answer' }]
  const drills = [...new Set(own.map(({ drill }) => drill))]
  return drills.map((drill): Cue => {
    const done = own.filter((record) => record.drill === drill)
    const last = done.at(-1)
    const days = dayOf(now) - dayOf(last?.at ?? now)
    return {
      kind: 'say',
      sentence: `drill.progress.${days <= 0 ? 'today' : days === 1 ? 'yesterday' : 'days-ago'}`,
      values: {
        name: `drill.${drill}.name`,
        times: done.length,
        passed: done.filter(({ passed }) => passed).length,
        score: last?.score ?? 0,
        days,
      },
      priority: 'answer',
    }
  })
}
