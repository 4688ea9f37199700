/** A page with nothing but the announcer, whose sound a test can record with the audio clock's own times. */
import type { Cue } from '../../../src/messages/cue.ts'
import {
  audioContext,
  createAnnouncer,
  SpeakingError,
  type Announcer,
  type Said,
  type Sounded,
  type SpeakingFailure,
  type SpeakingSettings,
} from '../../../src/speaking/index.ts'
import { loudspeaker } from '../../../src/speaking/loudspeaker.ts'

/** Bar time is not audio time: a test would notice if one were taken for the other. */
const barOffset = 1_700_000_000

const recorderSource = `registerProcessor('recorder', class extends AudioWorkletProcessor {
  process([[samples]]) {
    if (samples) this.port.postMessage({ frame: currentFrame, samples: samples.slice() })
    return true
  }
})`

const settings: SpeakingSettings = {
  loudness: 100,
  speed: 1,
  prompts: 'long',
  voice: 1,
  digits: false,
  screenReader: false,
}

const context = audioContext()
const clock = {
  now: () => context.currentTime + barOffset,
  toAudio: (bar: number) => bar - barOffset,
  toBar: (audio: number) => audio + barOffset,
}
const said: Said[] = []
const sounded: Sounded[] = []
const failures: SpeakingFailure[] = []
const speaking: { speaking: boolean; at: number }[] = []
const blocks: { frame: number; samples: Float32Array }[] = []
let announcer: Announcer | undefined

const page = {
  said,
  sounded,
  failures,
  speaking,
  sampleRate: context.sampleRate,
  state: () => context.state,
  now: clock.now,

  /** Makes the announcer and loads its voice. @returns what went wrong with that */
  async open(changes: Partial<SpeakingSettings> = {}, folder = '/voices'): Promise<SpeakingFailure | null> {
    announcer = createAnnouncer({ clock, language: 'en', settings: { ...settings, ...changes }, folder })
    announcer.onSaid((one) => said.push(one))
    announcer.onSounded((one) => sounded.push(one))
    announcer.onFailure((one) => failures.push(one))
    announcer.onSpeaking((is) => speaking.push({ speaking: is, at: clock.now() }))
    try {
      await announcer.load()
      return null
    } catch (error) {
      if (error instanceof SpeakingError) return error.failure
      throw error
    }
  },

  async record() {
    await context.audioWorklet.addModule(
      URL.createObjectURL(new Blob([recorderSource], { type: 'text/javascript' })),
    )
    const recorder = new AudioWorkletNode(context, 'recorder', { numberOfOutputs: 0 })
    recorder.port.onmessage = ({ data }) => blocks.push(data)
    loudspeaker().connect(recorder)
  },

  /** What was recorded, from the first sound on, with the bar time of its first sample. */
  recording(): { start: number; samples: number[] } {
    const first = blocks[0]?.frame ?? 0
    const samples = new Array<number>((blocks.at(-1)?.frame ?? 0) - first + 128).fill(0)
    for (const block of blocks)
      block.samples.forEach((sample, index) => (samples[block.frame - first + index] = sample))
    return { start: clock.toBar(first / context.sampleRate), samples }
  },

  perform: (...cues: readonly Cue[]) => cues.forEach((cue) => announcer?.perform(cue)),
  setSettings: (changes: Partial<SpeakingSettings>) => announcer?.setSettings({ ...settings, ...changes }),

  /** Keeps the page busy: it computes for so many milliseconds out of every hundred. */
  keepBusy(busy: number, seconds: number) {
    const until = performance.now() + seconds * 1000
    const timer = setInterval(() => {
      const end = performance.now() + busy
      while (performance.now() < end);
      if (performance.now() > until) clearInterval(timer)
    }, 100)
  },
}

declare global {
  interface Window {
    speakingPage: typeof page
  }
}
window.speakingPage = page
