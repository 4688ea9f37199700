import { effective, isInWindow, type Shot } from './effective.ts'
import type { LogRecord } from './record.ts'

/** A shot as a row of a table: what the charts show, for those who read. */
export interface ShotRow {
  /** record id, to take the shot back or correct it by */
  id: string
  /** 1 for the first of the stretch */
  number: number
  /** bar-clock seconds */
  at: number
  recipe: string
  coffee: number
  grinder: number
  notch: number
  seconds: number
  verdict: 'fast' | 'in window' | 'slow'
  looks: readonly string[]
  tastes: readonly string[]
  /** what was advised; `null` when it was not judged */
  action: string | null
  outcome: 'served' | 'expired' | 'discarded' | null
  /** seconds left at the hand-off; `null` when it was not told */
  margin: number | null
  practice: boolean
}

/** The shots of a stretch of the log as rows, in order. */
export function shotRows(records: readonly LogRecord[]): ShotRow[] {
  const rows = new Map<string, ShotRow>()
  for (const { id, device, entry } of effective(records)) {
    const row = 'shot' in entry ? rows.get(`${device} ${entry.shot}`) : undefined
    switch (entry.kind) {
      case 'shot': {
        const { at, recipe, coffee, grinder, notch, seconds, practice } = entry
        rows.set(`${device} ${entry.shot}`, {
          id,
          number: rows.size + 1,
          at,
          recipe,
          coffee,
          grinder,
          notch,
          seconds,
          verdict: verdictOf(entry),
          looks: [],
          tastes: [],
          action: null,
          outcome: null,
          margin: null,
          practice,
        })
        break
      }
      case 'judged':
        if (row) Object.assign(row, { looks: entry.looks, tastes: entry.tastes, action: entry.action })
        break
      case 'hand-off':
        if (row) Object.assign(row, { outcome: entry.outcome, margin: entry.margin })
        break
      default:
    }
  }
  return [...rows.values()]
}

function verdictOf(shot: Shot): ShotRow['verdict'] {
  if (isInWindow(shot)) return 'in window'
  return shot.seconds < shot.windowOpens ? 'fast' : 'slow'
}
