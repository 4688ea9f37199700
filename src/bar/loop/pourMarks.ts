import { timeBand, type SimulatedShot, type Window } from '../../coffee/index.ts'
import type { Cue } from '../../messages/cue.ts'
import { logged, oneDecimal, say } from '../say.ts'

/** Tag of all that sounds while a pour runs. */
export const pourTag = 'pour'

/** Seconds at which a mark is spoken whatever the recipe. */
const tenMark = 10

/** After the window has closed, a mark every so many seconds. */
const overEvery = 5

/** Marks are scheduled ahead up to this time; a pour that runs longer is asked about instead. */
export const marksUntil = 60

/**
 * The marks of a pour that began at `start`, each at its own bar time: ten seconds, the window opens, the window
 * closes, then every five seconds. Those before `now` are left out, so that a resumed pour goes on where it was.
 */
export function pourMarks(start: number, window: Window, now: number): Cue[] {
  const mark = (seconds: number, cue: Extract<Cue, { kind: 'say' }>['sentence'], value?: number): Cue[] => [
    { kind: 'earcon', earcon: 'tick', at: start + seconds, tag: pourTag },
    {
      kind: 'say',
      sentence: cue,
      ...(value !== undefined && { values: { seconds: value } }),
      priority: 'mark',
      at: start + seconds,
      expires: start + seconds + 0.8,
      tag: pourTag,
    },
  ]
  const marks = [
    ...(Math.abs(window.opens - tenMark) < 1 ? [] : mark(tenMark, 'pour.ten')),
    ...mark(window.opens, 'pour.opens'),
    ...mark(window.closes, 'pour.closes'),
  ]
  for (let over = window.closes + overEvery; over <= marksUntil; over += overEvery)
    marks.push(...mark(over, 'pour.over', Math.round(over)))
  return marks.filter((cue) => 'at' in cue && cue.at !== undefined && cue.at >= now)
}

/** Practice: the bench's pour as it would sound. */
export function pourSound(start: number, shot: Pick<SimulatedShot, 'seconds' | 'looks'>): Cue {
  const flow = shot.looks.includes('gushing')
    ? 'gushing'
    : shot.looks.includes('dark drips')
      ? 'dripping'
      : 'right'
  return { kind: 'pour sound', at: start, seconds: shot.seconds, flow, tag: pourTag }
}

/** What is heard as a pour begins, and all it will sound from then on. `practice`: the bench's shot. */
export const pourStarted = (start: number, window: Window, practice?: SimulatedShot | null): Cue[] => [
  say('pour.started', undefined, 'mark'),
  ...pourMarks(start, window, start),
  ...(practice ? [pourSound(start, practice)] : []),
]

/** What is heard as it ends: its time, and whether that was in the window. */
export function pourEnded(seconds: number, window: Window): Cue[] {
  const band = timeBand(seconds, window)
  return [
    { kind: 'cancel', tag: pourTag },
    logged,
    say('shot.time', { seconds: oneDecimal(seconds) }),
    say(`shot.${band === 'in window' ? 'in-window' : band}`),
  ]
}
