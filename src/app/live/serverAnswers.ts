import type { ReplicationState, Said } from '../../logbook/index.ts'

/** How this device and its server stand. */
export interface ServerStanding {
  /** `none`: no server is known; `resting`: one is, and is not used */
  state: ReplicationState | 'none' | 'resting'
  /** seconds since both were last alike; `null` when they never were */
  alikeSince: number | null
  /** entries that the server would not take */
  denied: number
  /** entries that the server has altered or removed; this device keeps its own */
  altered: number
}

/** How it stands with the server, in sentences. */
export function serverAnswer({ state, alikeSince, denied, altered }: ServerStanding): Said[] {
  const refused: Said[] = [
    ...(altered === 0 ? [] : [{ sentence: 'server.altered', values: { entries: altered } } as const]),
    ...(denied === 0 ? [] : [{ sentence: 'server.denied', values: { entries: denied } } as const]),
  ]
  switch (state) {
    case 'none':
      return [{ sentence: 'server.none' }]
    case 'up to date':
      return altered === 0 ? [{ sentence: 'server.up-to-date' }, ...refused] : refused
    case 'resting':
    case 'stopped':
      return [{ sentence: 'server.off' }, lastAlike(alikeSince), ...refused]
    case 'exchanging':
      return [{ sentence: 'server.exchanging' }, lastAlike(alikeSince), ...refused]
    case 'waiting':
      return [{ sentence: 'trouble.server-away' }, lastAlike(alikeSince), ...refused]
    case 'refused':
      return [{ sentence: 'trouble.server-refused' }, lastAlike(alikeSince), ...refused]
  }
}

/** How long ago, in the unit in which people would say it. */
export function lastAlike(seconds: number | null): Said {
  if (seconds === null) return { sentence: 'server.last.never' }
  const minutes = Math.max(1, Math.round(seconds / 60))
  if (minutes < 90) return { sentence: 'server.last.minutes', values: { minutes } }
  const hours = Math.round(minutes / 60)
  if (hours < 36) return { sentence: 'server.last.hours', values: { hours } }
  return { sentence: 'server.last.days', values: { days: Math.round(hours / 24) } }
}
