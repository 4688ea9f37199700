import { Howl, Howler } from 'howler'

/** RNNoise and Opus both work at 48 kHz, so the app does. */
const sampleRate = 48_000

/** 100 ms of silence, WAV: howler only listens for the gesture that unlocks audio once it has a sound to play. */
const silentWav = 'data:audio/wav;base64,UklGRiQAAABXQVZFZm10IBAAAAABAAEAQB8AAEAfAAABAAgAZGF0YQAAAAA='

/** Quietest setting above silence, in decibels below the loudest. */
const loudnessRange = 30

let made: AudioContext | undefined

/**
 * The app's one audio context, shared with hearing so that all times are of one clock. Howler owns it: it resumes
 * it at the first touch, click or key, and all sound leaves through its master gain. 48 kHz where the browser
 * allows it, else the device's own rate.
 *
 * @throws {Error} when the browser has no Web Audio
 */
export function audioContext(): AudioContext {
  if (made) return made
  // Making the first Howl lets howler do its unlocking work, which on a device of 48 kHz also replaces its context.
  // So that comes first, and only then is the context taken, or swapped for one of the right rate.
  new Howl({ src: [silentWav], preload: false })
  Howler.autoSuspend = false // hearing needs the context while nothing sounds
  if (!Howler.usingWebAudio || !Howler.ctx) throw new Error('this browser has no Web Audio')
  if (Howler.ctx.sampleRate !== sampleRate) swapContext()
  made = Howler.ctx
  return made
}

function swapContext() {
  try {
    const context = new AudioContext({ sampleRate, latencyHint: 'interactive' })
    void Howler.ctx.close()
    Howler.ctx = context
    Howler.masterGain = context.createGain()
    Howler.masterGain.connect(context.destination)
  } catch (error) {
    // A browser that cannot run at 48 kHz goes on at its own rate.
    if (!(error instanceof DOMException)) throw error
  }
}

/** Where all sound goes. */
export function loudspeaker(): AudioNode {
  audioContext()
  return Howler.masterGain
}

/**
 * Sets the loudness of everything.
 * @param percent 0 is silent; from 1 to 100 it rises evenly to the ear, over 30 decibels
 * @throws {RangeError} outside 0 to 100
 */
export function setLoudness(percent: number): void {
  audioContext()
  Howler.volume(gainFor(percent))
}

/** The gain of a loudness in percent. */
function gainFor(percent: number): number {
  if (!(percent >= 0 && percent <= 100)) throw new RangeError(`loudness ${percent}: 0 to 100 percent`)
  return percent === 0 ? 0 : 10 ** ((loudnessRange * (percent / 100 - 1)) / 20)
}

/** Whether the browser holds all sound back until somebody touches the screen or a key. */
export function isBlocked(): boolean {
  return audioContext().state !== 'running'
}

/** Whether the browser can decode the recordings. */
export function playsOpus(): boolean {
  return Howler.codecs('opus')
}
