import captureUrl from '../capture.worklet.ts?worker&url'
import type { BarClock } from '../../messages/clock.ts'
import type { FromPump, ToPump } from './pumpProtocol.ts'

/**
 * What is asked of the browser for the pump: its noise suppression takes exactly this sound away, since a pump is a noise
 * that goes on. Echo cancellation stays: the tool's own voice is no pump.
 */
const pumpConstraints: MediaTrackConstraints = {
  channelCount: 1,
  echoCancellation: true,
  noiseSuppression: false,
  autoGainControl: false,
}

/** Hears the pump. All times are on the bar clock. */
export interface PumpEar {
  /** Begins to listen; the microphone must have been allowed. Without a sound of its own it hears nothing, and nothing else is hurt. */
  open(): Promise<void>
  /** Somebody timed a shot: it is learnt from. */
  taught(onset: number, end: number): void
  /** Deletes what was learnt of this machine. */
  forget(): void
  onNews(listener: (news: FromPump) => void): () => void
  close(): void
}

export function createPumpEar({ context, clock }: { context: AudioContext; clock: BarClock }): PumpEar {
  const listeners = new Set<(news: FromPump) => void>()
  let worker: Worker | null = null
  let stream: MediaStream | null = null
  let source: MediaStreamAudioSourceNode | null = null
  const send = (message: ToPump, transfer: Transferable[] = []): void =>
    worker?.postMessage(message, transfer)
  const tell = (news: FromPump): void => {
    for (const listener of listeners) listener(onBarClock(news, clock))
  }

  const close = (): void => {
    source?.disconnect()
    for (const track of stream?.getTracks() ?? []) track.stop()
    worker?.terminate()
    worker = stream = source = null
  }

  return {
    async open() {
      close()
      try {
        stream = await navigator.mediaDevices.getUserMedia({ audio: pumpConstraints })
        await context.audioWorklet.addModule(captureUrl)
        worker = new Worker(new URL('./pump.worker.ts', import.meta.url), { type: 'module' })
        worker.onmessage = ({ data }: MessageEvent<FromPump>) => tell(data)
        worker.onerror = (event) => {
          close()
          tell({ kind: 'failed', detail: event.message })
        }
        send({ kind: 'open', sampleRate: context.sampleRate })
        source = new MediaStreamAudioSourceNode(context, { mediaStream: stream })
        const capture = new AudioWorkletNode(context, 'capture', {
          numberOfOutputs: 0,
          channelCount: 1,
          channelCountMode: 'explicit',
        })
        const { port1, port2 } = new MessageChannel()
        send({ kind: 'source', port: port1 }, [port1])
        capture.port.postMessage(port2, [port2])
        source.connect(capture)
      } catch (error) {
        close()
        tell({ kind: 'failed', detail: String(error) })
      }
    },
    taught: (onset, end) => send({ kind: 'taught', onset: clock.toAudio(onset), end: clock.toAudio(end) }),
    forget: () => send({ kind: 'forget' }),
    onNews(listener) {
      listeners.add(listener)
      return () => void listeners.delete(listener)
    },
    close,
  }
}

function onBarClock(news: FromPump, clock: BarClock): FromPump {
  switch (news.kind) {
    case 'on':
      return { ...news, onset: clock.toBar(news.onset) }
    case 'pausing':
      return { ...news, end: clock.toBar(news.end) }
    case 'off':
      return { ...news, onset: clock.toBar(news.onset), end: clock.toBar(news.end) }
    case 'resumed':
    case 'learnt':
    case 'failed':
      return news
  }
}
