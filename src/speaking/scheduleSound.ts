/** Seconds over which a sound that is cut off fades, so that it does not click. */
const fadeSeconds = 0.01

/** How far to a side a sound of a group is put: both ears still hear it. */
const panned = 0.7

/** A sound that was handed to the audio graph and cannot be late any more. */
export interface ScheduledSound {
  /** Fades it out at an audio time; before its start it never sounds. */
  stop(at: number): void
}

/**
 * Hands samples to the audio graph, to begin at an audio time to the sample, whatever the page is busy with then.
 * @param side where it comes from, for who hears in stereo: on one loudspeaker it is as loud
 * @param until audio time up to which the samples repeat; without it they sound once
 */
export function scheduleSound(
  context: BaseAudioContext,
  destination: AudioNode,
  samples: Float32Array,
  start: number,
  { until, side }: { until?: number | undefined; side?: 'left' | 'right' | undefined } = {},
): ScheduledSound {
  const buffer = context.createBuffer(1, Math.max(1, samples.length), context.sampleRate)
  buffer.getChannelData(0).set(samples)
  const source = context.createBufferSource()
  const gain = context.createGain()
  source.buffer = buffer
  source.connect(gain)
  // a panner in the middle would take 3 dB (equal power, Web Audio API), so only what comes from a side has one
  const last = side ? gain.connect(sidePanner(context, side)) : gain
  last.connect(destination)
  source.onended = () => last.disconnect()
  source.start(start)
  const stop = (at: number) => {
    const from = Math.max(at, context.currentTime)
    gain.gain.cancelScheduledValues(from)
    gain.gain.setValueAtTime(1, from)
    gain.gain.linearRampToValueAtTime(0, from + fadeSeconds)
    source.stop(at <= start ? from : from + fadeSeconds)
  }
  if (until !== undefined) {
    source.loop = true
    stop(until)
  }
  return { stop }
}

function sidePanner(context: BaseAudioContext, side: 'left' | 'right'): StereoPannerNode {
  const panner = context.createStereoPanner()
  panner.pan.value = side === 'left' ? -panned : panned
  return panner
}
