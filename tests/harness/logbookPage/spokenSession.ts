import type { Entry } from '../../../src/messages/entry.ts'
import type { Logbook } from '../../../src/logbook/index.ts'

/** What the machine of the session remembers: how many entries it made. */
export interface SessionState {
  made: number
}

/**
 * Logs without end what a spoken shift logs, and says each entry's id once it is logged, as the bar chimes. Every
 * other entry is logged together with the machine's state; so the state lags behind the log, and the log must say so.
 */
export async function spokenSession(
  log: Logbook,
  logged: (id: string) => void,
  until = Infinity,
): Promise<void> {
  const loaded = await log.loadSnapshot()
  const before = (loaded?.snapshot as SessionState | undefined) ?? { made: 0 }
  void pull(log, logged, before.made + (loaded?.missed ?? 0), until)
}

async function pull(log: Logbook, logged: (id: string) => void, made: number, until: number): Promise<void> {
  for (let n = made + 1; n <= until; n += 1) {
    const entry = entryOf(n, Date.now() / 1000)
    const state: SessionState = { made: n }
    const written = n % 2 === 0 ? log.append(entry, state) : log.append(entry)
    await written.then(() => logged(entry.id))
  }
}

/** The n-th entry of a shift: for each shot what is said of it. */
function entryOf(n: number, at: number): Entry {
  const shot = `s${Math.ceil(n / 4)}`
  const start = { id: `e${n}`, at }
  switch (n % 4) {
    case 1:
      return {
        ...start,
        kind: 'shot',
        shot,
        recipe: 'double',
        coffee: 1,
        grinder: 1,
        seconds: 15 + (n % 7),
        windowOpens: 17,
        windowCloses: 22,
        notch: 10 + (n % 3),
        purged: n % 3 === 0,
        practice: false,
      }
    case 2:
      return {
        ...start,
        kind: 'judged',
        shot,
        looks: ['even'],
        tastes: ['good'],
        action: 'leave',
        serve: true,
      }
    case 3:
      return { ...start, kind: 'hand-off', shot, outcome: 'served', into: 'milk', margin: 3.25 }
    default:
      return { ...start, kind: 'grind moved', notches: 1, notch: n % 5, advised: null }
  }
}
