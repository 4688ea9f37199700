/**
 * What runs inside the page to give a test a mouth and ears. It is installed before the app and stands where the
 * microphone and the loudspeaker are: the app cannot tell.
 */

/** What a test reaches in the page. */
export interface PageSound {
  /** Plays samples (16 kHz, -1..1) into the microphone now. @returns seconds until they are over */
  speak(samples: readonly number[]): number
  /** Everything that went to the loudspeaker since the last call, mono, with its samples a second. */
  takeLoudspeaker(): { rate: number; samples: number[] }
}

declare global {
  interface Window {
    pageSound: PageSound
  }
}

/** Replaces the microphone by one that hears what the test speaks, over a faint room. */
export function installPageSound(): void {
  const recorded: { rate: number; samples: number[] } = { rate: 48000, samples: [] }
  let mouth: { context: AudioContext; microphone: MediaStreamAudioDestinationNode } | undefined

  const openMouth = () => {
    if (mouth) return mouth
    const context = new AudioContext()
    const microphone = context.createMediaStreamDestination()
    // a microphone is never quite silent: ten seconds of noise 60 dB below full scale, over and over
    const room = context.createBuffer(1, 10 * context.sampleRate, context.sampleRate)
    room.getChannelData(0).forEach((_, at, samples) => (samples[at] = 0.002 * (Math.random() - 0.5)))
    const hum = new AudioBufferSourceNode(context, { buffer: room, loop: true })
    hum.connect(microphone)
    hum.start()
    return (mouth = { context, microphone })
  }

  navigator.mediaDevices.getUserMedia = async () => openMouth().microphone.stream.clone()

  window.pageSound = {
    speak(samples) {
      const { context, microphone } = openMouth()
      const buffer = context.createBuffer(1, samples.length, 16000)
      buffer.copyToChannel(Float32Array.from(samples), 0)
      const source = new AudioBufferSourceNode(context, { buffer })
      source.connect(microphone)
      source.start()
      return buffer.duration
    },
    takeLoudspeaker() {
      const taken = { rate: recorded.rate, samples: recorded.samples }
      recorded.samples = []
      return taken
    },
  }

  const recorders = new WeakMap<BaseAudioContext, Promise<AudioNode>>()
  const recorderSource = `registerProcessor('loudspeaker-recorder', class extends AudioWorkletProcessor {
    process(inputs) {
      const channels = inputs[0]
      const length = channels[0] ? channels[0].length : 128
      const mono = new Float32Array(length)
      for (const channel of channels) channel.forEach((sample, at) => (mono[at] += sample / channels.length))
      this.port.postMessage(mono)
      return true
    }
  })`
  const recorderOf = (context: BaseAudioContext): Promise<AudioNode> => {
    const known = recorders.get(context)
    if (known) return known
    const made = (async () => {
      const address = URL.createObjectURL(new Blob([recorderSource], { type: 'text/javascript' }))
      await context.audioWorklet.addModule(address)
      const recorder = new AudioWorkletNode(context, 'loudspeaker-recorder', { numberOfOutputs: 0 })
      recorder.port.onmessage = ({ data }: MessageEvent<Float32Array>) => {
        recorded.rate = context.sampleRate
        for (const sample of data) recorded.samples.push(sample)
      }
      return recorder
    })()
    recorders.set(context, made)
    return made
  }

  const connect = AudioNode.prototype.connect as (this: AudioNode, ...to: unknown[]) => unknown
  AudioNode.prototype.connect = function (this: AudioNode, ...to: unknown[]) {
    if (to[0] instanceof AudioDestinationNode && to[0].context instanceof AudioContext)
      void recorderOf(this.context).then((recorder) => connect.call(this, recorder))
    return connect.call(this, ...to)
  } as typeof AudioNode.prototype.connect
}
