import { timeBand, type SimulatedShot, type Window } from '../../coffee/index.ts'
import type { Group } from '../../messages/command.ts'
import type { Cue } from '../../messages/cue.ts'
import { logged, oneDecimal, say } from '../say.ts'

/** Tag of all that sounds while a pour runs. */
export const pourTag = (id: string) => `pour ${id}`

/** A pour as it is heard: on a named group its marks name it and come from its side. */
export interface HeardPour {
  readonly id: string
  readonly start: number
  readonly group: Group | null
}

/** Seconds at which a mark is spoken whatever the recipe. */
const tenMark = 10

/** Seconds between marks after the window has closed. */
const overEvery = 5

/** Marks are scheduled ahead up to this time; a pour that runs longer is asked about instead. */
export const marksUntil = 60

/**
 * The marks of a pour that began at `start`, each at its own bar time: ten seconds, the window opens, the window
 * closes, then every five seconds. Those before `now` are left out, so that a resumed pour goes on where it was.
 */
export function pourMarks({ id, start, group }: HeardPour, window: Window, now: number): Cue[] {
  const tag = pourTag(id)
  const side = group ? { side: group } : {}
  const mark = (
    seconds: number,
    name: 'ten' | 'opens' | 'closes' | 'over',
    values?: { seconds: number },
  ): Cue[] => [
    {
      kind: 'earcon',
      earcon: 'tick',
      at: start + seconds,
      tag,
      ...side,
      ...(group === 'right' && { voice: 2 }),
    },
    {
      ...(group
        ? say(`pour.${name}.group`, { ...values, group: `word.${group}` }, 'mark')
        : say(`pour.${name}`, values, 'mark')),
      at: start + seconds,
      expires: start + seconds + 0.8,
      tag,
      ...side,
    },
  ]
  const marks = [
    ...(Math.abs(window.opens - tenMark) < 1 ? [] : mark(tenMark, 'ten')),
    ...mark(window.opens, 'opens'),
    ...mark(window.closes, 'closes'),
  ]
  for (let over = window.closes + overEvery; over <= marksUntil; over += overEvery)
    marks.push(...mark(over, 'over', { seconds: Math.round(over) }))
  return marks.filter((cue) => 'at' in cue && cue.at !== undefined && cue.at >= now)
}

/** Practice: the bench's pour as it would sound. */
function pourSound({ id, start }: HeardPour, shot: Pick<SimulatedShot, 'seconds' | 'looks'>): Cue {
  const flow = shot.looks.includes('gushing')
    ? 'gushing'
    : shot.looks.includes('dark drips')
      ? 'dripping'
      : 'right'
  return { kind: 'pour sound', at: start, seconds: shot.seconds, flow, tag: pourTag(id) }
}

/** What is heard as a pour begins, and all it will sound from then on. `practice`: the bench's shot. */
export const pourStarted = (pour: HeardPour, window: Window, practice?: SimulatedShot | null): Cue[] => [
  pour.group
    ? { ...say('pour.started.group', { group: `word.${pour.group}` }, 'mark'), side: pour.group }
    : say('pour.started', undefined, 'mark'),
  ...pourMarks(pour, window, pour.start),
  ...(practice ? [pourSound(pour, practice)] : []),
]

/** What is heard as it ends: its time, and whether that was in the window. */
export function pourEnded({ id, group }: Omit<HeardPour, 'start'>, seconds: number, window: Window): Cue[] {
  const band = timeBand(seconds, window)
  const time = oneDecimal(seconds)
  return [
    { kind: 'cancel', tag: pourTag(id) },
    logged,
    group
      ? say('shot.time.group', { group: `word.${group}`, seconds: time })
      : say('shot.time', { seconds: time }),
    say(`shot.${band === 'in window' ? 'in-window' : band}`),
  ]
}
