import {
  loadAlike,
  loadServer,
  readServer,
  saveAlike,
  saveServer,
  ServerRefused,
  startReplication,
  type Replication,
  type Said,
  type Server,
} from '../../logbook/index.ts'
import type { ServerRequest } from '../../messages/command.ts'
import type { SentenceId } from '../../messages/cue.ts'
import type { Companion } from '../companion.ts'
import { serverAnswer, type ServerStanding } from './serverAnswers.ts'

/** Keeps the log and a server alike, where there is a server; by voice, by key and on the screen alike. */
export interface ServerLink {
  readonly standing: ServerStanding
  readonly server: Server | null
  /** Uses another server from now on; an empty address ends it. @returns what is wrong with the address, if anything */
  connect(url: string, user: string, password: string): SentenceId | null
  close(): void
}

/** Under this name the server is kept in the browser, apart from the log. */
const keptAs = 'earshot'

/** Seconds that an exchange may take before it is told that it goes on. */
const patience = 15

export function openServerLink({
  bar,
  logbook,
  say,
  warn,
}: Pick<Companion, 'bar' | 'logbook' | 'say' | 'warn'>): ServerLink {
  let server = $state.raw(loadServer(keptAs))
  let state = $state<ServerStanding['state']>('none')
  let alike = $state(loadAlike(keptAs))
  let denied = $state(0)
  let altered = $state(0)
  let running: Replication | null = null

  function start() {
    void running?.stop()
    running = null
    denied = 0
    altered = 0
    state = !server || !logbook.database ? 'none' : 'resting'
    if (!server || !logbook.database || server.resting) return
    const replication = startReplication(logbook, server)
    running = replication
    state = replication.state
    replication.onAltered((count) => {
      if (running !== replication) return
      if (count > altered) warn('trouble.server-altered', { entries: count })
      altered = count
    })
    replication.onState((next) => {
      if (running !== replication) return
      denied = replication.counts.denied
      state = next
      altered = replication.altered
      if (next === 'up to date' && altered === 0) {
        alike = Date.now()
        saveAlike(keptAs, alike)
      }
      // this one does not come right by itself
      if (next === 'refused') warn('trouble.server-refused')
    })
  }

  function use(next: Server | null) {
    saveServer(keptAs, next)
    if (next?.url !== server?.url) {
      alike = null
      saveAlike(keptAs, null)
    }
    server = next
    start()
  }

  const standing = (): ServerStanding => ({
    state,
    // while both are alike every change goes over as it comes
    alikeSince:
      alike === null ? null : state === 'up to date' && altered === 0 ? 0 : (Date.now() - alike) / 1000,
    denied,
    altered,
  })

  /** Waits until an exchange has come to an end, or for so long. */
  async function settle() {
    const end = Date.now() + patience * 1000
    while (state === 'exchanging' && Date.now() < end) await new Promise((wake) => setTimeout(wake, 100))
  }

  async function answer(request: ServerRequest): Promise<Said[]> {
    if (!logbook.database) return [{ sentence: 'trouble.no-storage' }]
    if (!server || request === 'address') return [{ sentence: 'server.none' }]
    if (request === 'use' || request === 'exchange') {
      const { resting: _resting, ...rest } = server
      use(rest)
      await settle()
    }
    if (request === 'leave') use({ ...server, resting: true })
    return serverAnswer(standing())
  }

  start()
  const asked = bar.on('server', ({ request }) => {
    void answer(request).then((said) => {
      for (const { sentence, values } of said) say(sentence, values)
    })
  })

  return {
    get standing() {
      return standing()
    },
    get server() {
      return server
    },
    connect(url, user, password) {
      if (!logbook.database) return 'trouble.no-storage'
      try {
        use(url.trim() === '' ? null : readServer(url, user || undefined, password || undefined))
        return null
      } catch (error) {
        if (error instanceof ServerRefused) return error.sentence
        throw error
      }
    },
    close() {
      asked.unsubscribe()
      void running?.stop()
    },
  }
}
