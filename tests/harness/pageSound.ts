/**
 * What runs inside the page to give a test a mouth and ears. It is installed before the app and stands where the
 * microphone and the loudspeaker are: the app cannot tell.
 */

/** What a test reaches in the page. */
export interface PageSound {
  /** Plays samples (16 kHz, -1..1) into the microphone now. @returns seconds until they are over */
  speak(samples: readonly number[]): number
  /** Tells that the bar clock shows `time` now, or showed it shortly before. */
  noteTime(time: number): void
  /**
   * What went to the loudspeaker between two times of the bar clock, mono, 16 kHz, -1..1.
   *
   * @throws when nothing went there yet
   */
  loudspeaker(from: number, until: number): Promise<number[]>
}

declare global {
  interface Window {
    pageSound: PageSound
  }
}

/** Replaces the microphone by one that hears what the test speaks, over a faint room, and listens at the loudspeaker. */
export function installPageSound(): void {
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

  /** what the loudspeaker was given, in pieces, each with the audio time of its first sample */
  const pieces: { at: number; samples: Float32Array }[] = []
  let recorder: ScriptProcessorNode | undefined
  /** what to add to a time of the bar clock to have it on the audio clock: no time is told before it has come */
  let offset = Infinity

  const connect = AudioNode.prototype.connect as (this: AudioNode, ...to: unknown[]) => unknown
  const recorderOf = (context: AudioContext): AudioNode => {
    if (recorder?.context === context) return recorder
    // not a worklet: the app's content security policy lets no script in that is not its own
    recorder = context.createScriptProcessor(4096, 1, 1)
    // what it puts out in answer to a piece sounds two pieces after the piece began
    recorder.onaudioprocess = ({ inputBuffer, playbackTime }) =>
      pieces.push({
        at: playbackTime - 2 * inputBuffer.duration,
        samples: inputBuffer.getChannelData(0).slice(),
      })
    connect.call(recorder, context.destination) // else it is not run; it puts out silence
    return recorder
  }
  AudioNode.prototype.connect = function (this: AudioNode, ...to: unknown[]) {
    if (to[0] instanceof AudioDestinationNode && this.context instanceof AudioContext)
      connect.call(this, recorderOf(this.context))
    return connect.call(this, ...to)
  } as typeof AudioNode.prototype.connect

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
    noteTime(time) {
      if (recorder) offset = Math.min(offset, recorder.context.currentTime - time)
    },
    async loudspeaker(from, until) {
      if (!recorder) throw new Error('nothing went to the loudspeaker yet')
      const { sampleRate } = recorder.context
      const whole = new OfflineAudioContext(1, Math.round((until - from) * 16000), 16000)
      const recording = whole.createBuffer(1, Math.round((until - from) * sampleRate), sampleRate)
      const samples = recording.getChannelData(0)
      for (const piece of pieces) {
        const start = Math.round((piece.at - offset - from) * sampleRate)
        if (start >= samples.length || start + piece.samples.length <= 0) continue
        const inside = piece.samples.subarray(Math.max(0, -start), samples.length - start)
        samples.set(inside, Math.max(0, start))
      }
      const source = new AudioBufferSourceNode(whole, { buffer: recording })
      source.connect(whole.destination)
      source.start()
      return [...(await whole.startRendering()).getChannelData(0)]
    },
  }
}
