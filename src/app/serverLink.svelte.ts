import {
  loadServer,
  readServer,
  saveServer,
  ServerRefused,
  startReplication,
  type Logbook,
  type Replication,
  type ReplicationState,
  type Server,
} from '../logbook/index.ts'
import type { SentenceId } from '../messages/cue.ts'

/** Keeps the log and a server alike, where there is a server. */
export interface ServerLink {
  readonly state: ReplicationState
  readonly server: Server | null
  /** Uses another server from now on; an empty address ends it. @returns what is wrong with the address, if anything */
  connect(url: string, user: string, password: string): SentenceId | null
  close(): void
}

/** Under this name the server is kept in the browser, apart from the log. */
const keptAs = 'earshot'

export function openServerLink(log: Logbook): ServerLink {
  let server = $state.raw(loadServer(keptAs))
  let state = $state<ReplicationState>('stopped')
  let running: Replication | null = null

  function start() {
    if (!server || !log.database) return
    running = startReplication(log, server)
    state = running.state
    running.onState((next) => (state = next))
  }
  start()

  return {
    get state() {
      return state
    },
    get server() {
      return server
    },
    connect(url, user, password) {
      try {
        const next = url.trim() === '' ? null : readServer(url, user || undefined, password || undefined)
        saveServer(keptAs, next)
        void running?.stop()
        running = null
        state = 'stopped'
        server = next
        start()
        return null
      } catch (error) {
        if (error instanceof ServerRefused) return error.sentence
        throw error
      }
    },
    close: () => void running?.stop(),
  }
}
