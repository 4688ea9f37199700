/**
 * Runs on the audio thread: gathers the microphone's sound into pieces of 20 ms and hands each over, with the
 * audio context's frame number of its first sample, to the port it is given.
 */
import type { Sound } from './protocol.ts'

// the names of the audio thread that TypeScript's DOM library lacks (Web Audio API, AudioWorkletGlobalScope)
declare const sampleRate: number
declare const currentFrame: number
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void
declare class AudioWorkletProcessor {
  readonly port: MessagePort
}

class Capture extends AudioWorkletProcessor {
  readonly #size = Math.round(sampleRate / 50)
  #piece = new Float32Array(this.#size)
  #filled = 0
  #frame = 0
  #listener: MessagePort | null = null

  constructor() {
    super()
    this.port.onmessage = (event: MessageEvent<MessagePort>) => (this.#listener = event.data)
  }

  process([input]: Float32Array[][]): boolean {
    const samples = input?.[0]
    // no input: the microphone is gone. The gap shows in the frame numbers.
    if (samples === undefined) this.#filled = 0
    else this.#gather(samples)
    return true
  }

  #gather(samples: Float32Array): void {
    let taken = 0
    while (taken < samples.length) {
      if (this.#filled === 0) this.#frame = currentFrame + taken
      const part = samples.subarray(taken, taken + this.#size - this.#filled)
      this.#piece.set(part, this.#filled)
      this.#filled += part.length
      taken += part.length
      if (this.#filled === this.#size) this.#send()
    }
  }

  #send(): void {
    const sound: Sound = { kind: 'sound', frame: this.#frame, samples: this.#piece }
    this.#listener?.postMessage(sound, [this.#piece.buffer])
    this.#piece = new Float32Array(this.#size)
    this.#filled = 0
  }
}

registerProcessor('capture', Capture)
