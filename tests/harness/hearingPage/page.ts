/** A page with nothing but the hearing in it, for tests and benchmarks to drive. */
import { bundledLanguage } from '../../../grammar/bundledLanguage.ts'
import captureUrl from '../../../src/hearing/capture.worklet.ts?worker&url'
import { createEar, type Ear, type EarState, type ListenOptions } from '../../../src/hearing/ear.ts'
import type { Sound } from '../../../src/hearing/protocol.ts'
import { tryModel } from '../../../src/hearing/tryModel.ts'
import type { BarClock } from '../../../src/messages/clock.ts'
import type { Command } from '../../../src/messages/command.ts'
import { obeyedAs, type Utterance } from '../../../src/messages/utterance.ts'
import { startRecording, takeRecorded } from './recording.ts'
import { openTrials, runTrial } from './trials.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'

export interface EarLog {
  states: EarState[]
  commands: Command[]
  rejected: Utterance[]
  /** what the microphone gave, -1..1, at the audio context's rate, from `soundFrom` on (seconds of its clock) */
  sound: number[]
  soundFrom: number
  sampleRate: number
}

/** Bar time is the audio context's own here. */
const audioTime: (context: AudioContext) => BarClock = (context) => ({
  now: () => context.currentTime,
  toAudio: (time) => time,
  toBar: (time) => time,
})

const recorded: { from: number; samples: number[] } = { from: 0, samples: [] }
let log: EarLog | null = null
let ear: Ear | null = null

const hearingPage = {
  /** Opens an ear on the microphone and begins a log of everything it tells. */
  async openEar(model: string, names: GrammarName[], options: ListenOptions = {}): Promise<EarState> {
    const context = new AudioContext({ sampleRate: 48000 })
    recordMicrophone(context)
    const opened = createEar({
      context,
      clock: audioTime(context),
      language: await bundledLanguage('en'),
      model,
    })
    const begun: EarLog = {
      states: [],
      commands: [],
      rejected: [],
      sound: [],
      soundFrom: 0,
      sampleRate: context.sampleRate,
    }
    opened.onState((state) => begun.states.push(state))
    opened.onUtterance((utterance) => {
      const command = obeyedAs(utterance)
      if (command) begun.commands.push(command)
      else begun.rejected.push(utterance)
    })
    log = begun
    ear = opened
    opened.listen(names, options)
    await opened.open()
    return opened.state
  },
  listen(names: GrammarName[], options: ListenOptions = {}): void {
    ear?.listen(names, options)
  },
  setSpeaking(speaking: boolean): void {
    ear?.setSpeaking(speaking)
  },
  reopen(): Promise<void> | undefined {
    return ear?.open()
  },
  /** What comes of a model of the user's own. */
  async tryModel(
    model: string,
  ): Promise<{ missing: readonly string[]; notice: string | null; bytes: number } | { refused: string }> {
    try {
      const { archive, missing, notice } = await tryModel(model, await bundledLanguage('en'), () => {})
      return { missing, notice, bytes: archive.size }
    } catch (error) {
      return { refused: error instanceof Error ? error.message : String(error) }
    }
  },
  openTrials,
  runTrial,
  startRecording,
  takeRecorded,
  log(): EarLog | null {
    return log && { ...log, sound: recorded.samples, soundFrom: recorded.from }
  },
}
export type HearingPage = typeof hearingPage

declare global {
  interface Window {
    hearingPage: HearingPage
  }
}
Object.assign(window, { hearingPage })

/** Keeps a copy of what the ear's own microphone gives, so that a test knows the true time of every sound. */
function recordMicrophone(context: AudioContext): void {
  const { mediaDevices } = navigator
  const ask = mediaDevices.getUserMedia.bind(mediaDevices)
  mediaDevices.getUserMedia = async (constraints) => {
    const mediaStream = await ask(constraints)
    await context.audioWorklet.addModule(captureUrl)
    const source = new MediaStreamAudioSourceNode(context, { mediaStream })
    const capture = new AudioWorkletNode(context, 'capture', { numberOfOutputs: 0 })
    const { port1, port2 } = new MessageChannel()
    capture.port.postMessage(port2, [port2])
    port1.onmessage = ({ data }: MessageEvent<Sound>) => {
      if (recorded.samples.length === 0) recorded.from = data.frame / context.sampleRate
      recorded.samples.push(...data.samples)
    }
    source.connect(capture)
    return mediaStream
  }
}
