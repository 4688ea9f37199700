import captureUrl from '../../../src/hearing/capture.worklet.ts?worker&url'
import { constraints } from '../../../src/hearing/microphone.ts'
import type { Sound } from '../../../src/hearing/protocol.ts'

/** What the browser may do to the microphone's sound beside cancelling the echo. */
export interface Processing {
  noiseSuppression: boolean
  autoGainControl: boolean
}

export interface Recorded {
  /** what came since the last time, 32-bit floats at 48 kHz, in base64 */
  sound: string
  /** frames that never came, by the numbers of those that did */
  lost: number
}

let pieces: Float32Array[] = []
let lost = 0

/** Records the microphone as the product opens it, but for `processing`. Gives what the browser says it does. */
export async function startRecording(processing: Processing): Promise<MediaTrackSettings> {
  const context = new AudioContext({ sampleRate: 48000 })
  // before the microphone is opened: from then on its file plays
  await context.audioWorklet.addModule(captureUrl)
  const capture = new AudioWorkletNode(context, 'capture', {
    numberOfOutputs: 0,
    channelCount: 1,
    channelCountMode: 'explicit',
  })
  const { port1, port2 } = new MessageChannel()
  capture.port.postMessage(port2, [port2])
  let next: number | null = null
  port1.onmessage = ({ data: { frame, samples } }: MessageEvent<Sound>) => {
    lost += frame - (next ?? frame)
    next = frame + samples.length
    pieces.push(samples)
  }
  const mediaStream = await navigator.mediaDevices.getUserMedia({ audio: { ...constraints, ...processing } })
  new MediaStreamAudioSourceNode(context, { mediaStream }).connect(capture)
  return mediaStream.getAudioTracks()[0]?.getSettings() ?? {}
}

/** Hands over what was recorded since the last time. */
export function takeRecorded(): Recorded {
  let bytes = ''
  for (const { buffer } of pieces) {
    for (const byte of new Uint8Array(buffer)) bytes += String.fromCharCode(byte)
  }
  pieces = []
  return { sound: btoa(bytes), lost }
}
