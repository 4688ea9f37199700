import captureUrl from './capture.worklet.ts?worker&url'

/** Why there is no sound from a microphone. */
export type MicrophoneFailure = 'no microphone' | 'refused' | 'in use' | 'unplugged'

/** Thrown by {@link openMicrophone}. */
export class MicrophoneError extends Error {
  constructor(readonly reason: MicrophoneFailure) {
    super(`microphone: ${reason}`)
  }
}

export interface MicrophoneOptions {
  context: AudioContext
  /** the port that takes the sound, see `capture.worklet.ts` */
  listener: MessagePort
  /** called once when the microphone stops by itself: unplugged, or taken back by the person or the system */
  onEnded: () => void
  /** called when the system holds the microphone, for a call say, and when it gives it back */
  onMuted: (isMuted: boolean) => void
}

export interface Microphone {
  /** whether the browser takes the loudspeaker's sound out of the microphone's */
  readonly isEchoCancelled: boolean
  close(): void
}

/**
 * What is asked of the browser. Its echo cancellation knows what the loudspeaker plays. Its noise suppression goes well with our
 * own; its gain control is not wanted: docs/decisions.md has the figures.
 */
export const constraints: MediaTrackConstraints = {
  channelCount: 1,
  echoCancellation: true,
  noiseSuppression: true,
  autoGainControl: false,
}

/**
 * Asks for the microphone and lets its sound flow to `listener`.
 *
 * @throws MicrophoneError
 */
export async function openMicrophone({
  context,
  listener,
  onEnded,
  onMuted,
}: MicrophoneOptions): Promise<Microphone> {
  const stream = await askFor(constraints)
  await context.audioWorklet.addModule(captureUrl)
  const source = new MediaStreamAudioSourceNode(context, { mediaStream: stream })
  const capture = new AudioWorkletNode(context, 'capture', {
    numberOfOutputs: 0,
    channelCount: 1,
    channelCountMode: 'explicit',
  })
  capture.port.postMessage(listener, [listener])
  source.connect(capture)

  for (const track of stream.getTracks()) {
    track.addEventListener('ended', onEnded, { once: true })
    track.addEventListener('mute', () => onMuted(true))
    track.addEventListener('unmute', () => onMuted(false))
  }
  return {
    isEchoCancelled: stream.getAudioTracks().every((track) => track.getSettings().echoCancellation === true),
    close() {
      source.disconnect()
      for (const track of stream.getTracks()) track.stop()
    },
  }
}

async function askFor(audio: MediaTrackConstraints): Promise<MediaStream> {
  // absent on a page that was not served securely
  if (!('mediaDevices' in navigator)) throw new MicrophoneError('refused')
  try {
    return await navigator.mediaDevices.getUserMedia({ audio })
  } catch (error) {
    throw new MicrophoneError(reasonOf(error))
  }
}

/** The names of getUserMedia's errors (W3C Media Capture and Streams). */
export function reasonOf(error: unknown): MicrophoneFailure {
  switch (error instanceof DOMException ? error.name : '') {
    case 'NotAllowedError':
    case 'SecurityError':
    case 'InvalidStateError':
      return 'refused'
    case 'NotReadableError':
    case 'AbortError':
      return 'in use'
    default:
      return 'no microphone'
  }
}
