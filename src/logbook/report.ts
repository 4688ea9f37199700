import { advise, carryOver, summarise, type Estimate } from '../coffee/index.ts'
import type { SentenceId, SentenceValues } from '../messages/cue.ts'
import { followGrinder, recipeOf } from './followGrinder.ts'
import { effective, isInWindow } from './effective.ts'
import type { LogRecord } from './record.ts'

/** A sentence to say, and its values. */
export interface Said {
  sentence: SentenceId
  values?: SentenceValues
}

interface DriftTold {
  direction: 'slower' | 'faster' | 'steady'
  /** change of a shot's time at one setting over the shift, with its 90 % interval; `null` with too few shots */
  percent: Estimate | null
}

/** What to do before the first shot of the next shift. */
export interface NextShift {
  /** the move from where the grinder stands; positive is finer */
  notches: number
  /** where the grinder should stand */
  notch: number
  /** chance, 0 to 1, that the first shot then lands in the window */
  chance: number
}

/** A shift in figures. Practice is not counted, except in `practice`. */
export interface ShiftReport {
  /** bar-clock seconds of the first and the last entry; `null` when there is none */
  from: number | null
  to: number | null
  shots: number
  inWindow: number
  /** shots up to and with the first in the window; `null` when none was */
  firstHit: number | null
  /** moves of the grind, and the sum of their sizes in notches */
  moves: number
  notchesMoved: number
  served: number
  expired: number
  discarded: number
  /** expired, discarded, or judged not fit to serve and not told of after */
  wasted: number
  practice: number
  drift: DriftTold
  /** `null` without a shot to learn from */
  next: NextShift | null
  /** the report in sentences, in the order to say them */
  said: Said[]
}

/**
 * A shift's report.
 *
 * @param records of the shift, in the log's order, as the log gives them
 */
export function shiftReport(records: readonly LogRecord[]): ShiftReport {
  const holds = effective(records)
  const pulled = holds.flatMap(({ entry, device }) => (entry.kind === 'shot' ? [{ entry, device }] : []))
  const counted = pulled.filter(({ entry }) => !entry.practice)
  const shots = counted.map(({ entry }) => entry)
  const moves = holds.flatMap(({ entry }) => (entry.kind === 'grind moved' ? [entry] : []))
  const first = shots.findIndex(isInWindow)

  const ends = new Map<string, 'served' | 'expired' | 'discarded'>()
  const refused = new Set<string>()
  for (const { entry, device } of holds) {
    if (entry.kind === 'hand-off') ends.set(`${device} ${entry.shot}`, entry.outcome)
    if (entry.kind === 'judged') refused[entry.serve ? 'delete' : 'add'](`${device} ${entry.shot}`)
  }
  const keys = counted.map(({ entry, device }) => `${device} ${entry.shot}`)
  const ended = (outcome: string) => keys.filter((key) => ends.get(key) === outcome).length

  const figures = {
    from: holds[0]?.entry.at ?? null,
    to: holds.at(-1)?.entry.at ?? null,
    shots: shots.length,
    inWindow: shots.filter(isInWindow).length,
    firstHit: first < 0 ? null : first + 1,
    moves: moves.length,
    notchesMoved: moves.reduce((sum, move) => sum + Math.abs(move.notches), 0),
    served: ended('served'),
    expired: ended('expired'),
    discarded: ended('discarded'),
    wasted: keys.filter((key) => (ends.has(key) ? ends.get(key) !== 'served' : refused.has(key))).length,
    practice: pulled.length - counted.length,
    drift: driftTold(holds),
    next: nextShift(holds),
  }
  return { ...figures, said: sentencesOf(figures) }
}

/** Drift of the grinder that pulled the last shot, over all its shots. */
function driftTold(holds: readonly LogRecord[]): DriftTold {
  const belief = followGrinder(holds).at(-1)?.belief
  if (!belief || belief.learnt < 3) return { direction: 'steady', percent: null }
  const percent = summarise(belief).driftPercent
  const direction = percent.low > 0 ? 'slower' : percent.high < 0 ? 'faster' : 'steady'
  return { direction, percent }
}

/** How long from the end of one shift to the start of the next; common practice, and the grinder is cold then anyway. */
const night = 12 * 3600

function nextShift(holds: readonly LogRecord[]): NextShift | null {
  const last = followGrinder(holds).at(-1)
  if (!last || last.belief.learnt === 0) return null
  const moved = holds.findLast(({ entry }) => entry.kind === 'grind moved')?.entry
  const notch = moved?.kind === 'grind moved' && moved.at >= last.shot.at ? moved.notch : last.shot.notch
  const at = last.belief.at + night
  const advice = advise(carryOver(last.belief, 'new day', at), recipeOf(last.shot), {
    at,
    notch,
    largerMoves: true,
  })
  return { notches: advice.notches, notch: notch + advice.notches, chance: advice.outlook.chance.inWindow }
}

function sentencesOf(report: Omit<ShiftReport, 'said'>): Said[] {
  const { shots, inWindow, firstHit, notchesMoved, wasted, expired, discarded, drift, next } = report
  if (shots === 0) return [{ sentence: 'report.none' }]
  return [
    { sentence: 'report.shots', values: { shots, hits: inWindow } },
    ...(firstHit === null ? [] : [{ sentence: 'report.first-hit', values: { shots: firstHit } } as const]),
    ...(notchesMoved === 0 ? [] : [{ sentence: 'report.moves', values: { notches: notchesMoved } } as const]),
    ...(wasted === 0 ? [] : [{ sentence: 'report.waste', values: { wasted, expired, discarded } } as const]),
    { sentence: `report.drift.${drift.direction}` },
    ...(next ? [adviceSaid(next)] : []),
  ]
}

function adviceSaid({ notches, notch }: NextShift): Said {
  if (notches === 0) return { sentence: 'report.advice.same', values: { notch } }
  const sentence = notches > 0 ? 'report.advice.finer' : 'report.advice.coarser'
  return { sentence, values: { notches: Math.abs(notches) } }
}
