import { fork, type ChildProcess } from 'node:child_process'
import { fileURLToPath } from 'node:url'

export interface CouchServer {
  /** without a slash at its end */
  url: string
  /** bytes that the process holds */
  memory(): Promise<number>
  stop(): Promise<void>
}

const program = fileURLToPath(new URL('couchServerProcess.mjs', import.meta.url))

export interface CouchOptions {
  /** 0: any that is free */
  port?: number
  /** to require them of everybody */
  user?: string
  password?: string
  /** keeps the databases there; without it all is gone when the server stops */
  folder?: string
}

/** Starts a server that speaks the CouchDB protocol in a process of its own. */
export async function startCouchServer(options: CouchOptions = {}): Promise<CouchServer> {
  const process = fork(program, [JSON.stringify({ port: 0, ...options })], {
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  })
  const { port: at } = await answer<{ port: number }>(process)
  return {
    url: `http://127.0.0.1:${at}`,
    async memory() {
      const told = answer<number>(process)
      process.send('memory')
      return told
    },
    async stop() {
      const ended = new Promise((resolve) => process.once('exit', resolve))
      process.kill('SIGKILL')
      await ended
    },
  }
}

function answer<T>(process: ChildProcess): Promise<T> {
  return new Promise((resolve, reject) => {
    process.once('message', (message) => resolve(message as T))
    process.once('exit', (code) => reject(new Error(`the server ended with ${code}`)))
  })
}
