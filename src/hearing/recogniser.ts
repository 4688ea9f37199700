import wasmUrl from '@lichess-org/vosk-browser/dist/vosk.wasm?url'
import type { FromWorker, Listen, ToWorker } from './protocol.ts'
import type { Tuning } from './tuning.ts'

/** Seconds without an answer after which the worker counts as dead. */
const patience = 15

export interface RecogniserOptions {
  /** a tar.gz or zip with a Vosk model, or where it is */
  model: string | Blob
  /** the code of the language that is spoken */
  language: string
  /** of the audio context, Hz */
  sampleRate: number
  tuning: Tuning
  /** called with everything that the worker says, and once with `failed` when it says nothing any more */
  tell: (message: FromWorker) => void
}

/** The page's side of `hearing.worker.ts`. */
export interface RecogniserClient {
  /** a new port that takes sound (see `Sound` in protocol.ts) in place of the one before */
  source(): MessagePort
  listen(listen: Omit<Listen, 'kind'>): void
  /** asks for a `pong` */
  ping(): void
  close(): void
}

/** Starts a worker and loads the model in it. */
export function startRecogniser({
  model,
  language,
  sampleRate,
  tuning,
  tell,
}: RecogniserOptions): RecogniserClient {
  const worker = new Worker(new URL('./hearing.worker.ts', import.meta.url), { type: 'module' })
  const { port1: port, port2: workersPort } = new MessageChannel()
  const send = (message: ToWorker, transfer: Transferable[] = []): void => port.postMessage(message, transfer)

  const ping = (): void => send({ kind: 'ping' })
  let answered = performance.now()
  const watch = setInterval(() => {
    if (performance.now() - answered > patience * 1000) fail('it does not answer')
    else ping()
  }, 1000)

  const close = (): void => {
    clearInterval(watch)
    port.close()
    worker.terminate()
  }
  const fail = (detail: string): void => {
    close()
    tell({ kind: 'failed', reason: 'worker died', detail })
  }

  worker.onerror = (event) => fail(event.message)
  port.onmessage = ({ data }: MessageEvent<FromWorker>) => {
    answered = performance.now()
    if (data.kind === 'failed') close()
    tell(data)
  }

  worker.postMessage(workersPort, [workersPort])
  const absolute = (address: string): string => new URL(address, document.baseURI).href
  send({
    kind: 'open',
    model: typeof model === 'string' ? absolute(model) : model,
    wasmUrl: absolute(wasmUrl),
    language,
    sampleRate,
    tuning,
  })

  return {
    source() {
      const { port1, port2 } = new MessageChannel()
      send({ kind: 'source', port: port1 }, [port1])
      return port2
    },
    listen: (listen) => send({ kind: 'listen', ...listen }),
    ping,
    close,
  }
}
