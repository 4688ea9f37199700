import type { SentenceId } from '../messages/cue.ts'

/** A database on a server that speaks the CouchDB 3 protocol. */
export interface Server {
  /** of the database, without name or password */
  url: string
  user?: string
  password?: string
  /** known, and not in use for now */
  resting?: boolean
}

/** An address that is not taken. `sentence` says why. */
export class ServerRefused extends Error {
  readonly sentence: SentenceId
  constructor(sentence: SentenceId, message: string) {
    super(message)
    this.name = 'ServerRefused'
    this.sentence = sentence
  }
}

/**
 * Reads the address of a database. A name and password in the address are taken out of it.
 *
 * @throws ServerRefused when it is none, or when what is sent there could be read on the way: TLS is required but to
 *   this device itself
 */
export function readServer(address: string, user?: string, password?: string): Server {
  let url
  try {
    url = new URL(address)
  } catch {
    throw new ServerRefused('trouble.server-address', `${JSON.stringify(address)} is not an address`)
  }
  if (url.protocol !== 'https:' && url.protocol !== 'http:')
    throw new ServerRefused('trouble.server-address', `${url.protocol} is not a web address`)
  if (url.protocol === 'http:' && isLoopback(url.hostname) && !isThisDevice(url.hostname))
    throw new ServerRefused('trouble.server-loopback', `${url.host}: write localhost or 127.0.0.1`)
  if (url.protocol === 'http:' && !isThisDevice(url.hostname))
    throw new ServerRefused('trouble.server-tls', `${url.host}: TLS (https) is required`)
  if (url.pathname.replaceAll('/', '') === '')
    throw new ServerRefused('trouble.server-address', `${url.host}: the database's name is missing`)
  const server: Server = { url: `${url.origin}${url.pathname.replace(/\/+$/, '')}` }
  const name = user ?? (url.username === '' ? undefined : decodeURIComponent(url.username))
  const secret = password ?? (url.password === '' ? undefined : decodeURIComponent(url.password))
  if (name !== undefined) server.user = name
  if (secret !== undefined) server.password = secret
  return server
}

/** The names of this device that the page's policy lets it reach; see `headers.ts`. */
const isThisDevice = (host: string) => host === 'localhost' || host === '127.0.0.1'

/** Every other way to write it: a policy has no form for these. */
const isLoopback = (host: string) =>
  host.endsWith('.localhost') || host === '[::1]' || /^127(\.\d{1,3}){3}$/.test(host)

const key = (name: string) => `${name} server`

/**
 * Keeps the server of a log, or forgets it. It is kept apart from the log, so that neither replication nor an export
 * ever carries the password.
 */
export function saveServer(name: string, server: Server | null): void {
  if (server) localStorage.setItem(key(name), JSON.stringify(server))
  else localStorage.removeItem(key(name))
}

const alikeKey = (name: string) => `${name} server alike`

/** Keeps when a log and its server were last alike, milliseconds. */
export function saveAlike(name: string, at: number | null): void {
  if (at === null) localStorage.removeItem(alikeKey(name))
  else localStorage.setItem(alikeKey(name), String(at))
}

/** When a log and its server were last alike, milliseconds; `null` when they never were. */
export function loadAlike(name: string): number | null {
  try {
    const at = Number(localStorage.getItem(alikeKey(name)) ?? NaN)
    return Number.isFinite(at) ? at : null
  } catch {
    return null
  }
}

/** The server of a log; `null` when there is none. */
export function loadServer(name: string): Server | null {
  try {
    const kept = JSON.parse(localStorage.getItem(key(name)) ?? 'null') as Partial<Server> | null
    if (!kept || typeof kept.url !== 'string') return null
    const server = readServer(kept.url, kept.user, kept.password)
    return kept.resting ? { ...server, resting: true } : server
  } catch {
    return null
  }
}
