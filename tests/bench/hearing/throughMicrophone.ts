import { setTimeout as wait } from 'node:timers/promises'
import { rms } from '../../../audio-fixtures/energy.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { createResampler } from '../../../src/hearing/resampler.ts'
import { openHearingPage } from '../../harness/openHearingPage.ts'
import type { Processing } from '../../harness/hearingPage/recording.ts'
import type { Served } from '../../harness/serveBuilt.ts'
import { leadIn, type Made } from './conditions.ts'
import { rounded } from './report.ts'
import { quantile } from './score.ts'

/** What the browser may be asked to do, by the name it has on the command line. */
export const processings = {
  none: { noiseSuppression: false, autoGainControl: false },
  suppression: { noiseSuppression: true, autoGainControl: false },
  gain: { noiseSuppression: false, autoGainControl: true },
  both: { noiseSuppression: true, autoGainControl: true },
} satisfies Record<string, Processing>

export const isProcessingName = (name: string): name is keyof typeof processings =>
  Object.hasOwn(processings, name)

export interface Played {
  /** the sounds as they came out, in the order in which they were given, their spans unchanged */
  made: Made[]
  account: {
    /** how alike the sounds that went in and came out are: the least and the median correlation */
    likeness: { least: number; median: number }
    /** what was added to the level, median, dB */
    gain: number
    /** sounds before or in which the machine was too slow, so that they came later or earlier than the one before */
    displaced: number
    /** frames that the audio thread did not hand over */
    lost: number
  }
}

/** The browser's suppression and gain control have this long to settle in each noise, seconds. */
const settling = 12
/** Silence before the first sound, while the microphone opens, and after the last. */
const edge = 1.5
/** A sound is found by this much of itself, seconds; in less there may be but the clink of a cup, and then another. */
const markerSeconds = 1
/** How far from its place the first sound is looked for, and each other one from the place that the last one had. */
const reach = { first: 1.4, next: 0.15 }
/** below this likeness a sound does not say where it is */
const alike = 0.4
const displacement = 0.001

/**
 * Plays sounds into Chromium's file microphone, in real time, and gives what the page gets of them: through the
 * browser's own processing and the product's capture worklet.
 *
 * They are played one after another, those in the same noise together, since in a bar the noise does not change with
 * every word. Of each noise some of its sounds come first unmeasured, for 12 seconds, so that suppression and gain
 * have settled. Each sound is its own marker: it is cut out where it correlates best with what went in. What the
 * processing itself delays is therefore not in the latency that a benchmark finds.
 */
export async function throughMicrophone(
  site: Served,
  sounds: readonly Made[],
  processing: Processing,
): Promise<Played> {
  const order = orderOf(sounds)
  const silence = new Float32Array(edge * sampleRate)
  const tape = joined([silence, ...order.map(({ samples }) => samples), silence])
  const { recorded, lost } = await record(site, tape, processing)

  const steep = differences(recorded)
  const made = [...sounds]
  const found: { likeness: number; gain: number; isDisplaced: boolean }[] = []
  let start = silence.length
  let offset: number | null = null
  for (const { at, samples, isMeasured } of order) {
    const within = offset === null ? reach.first : reach.next
    const place = find(differences(samples), steep, start + (offset ?? 0), within)
    const moved: number = place.likeness < alike ? (offset ?? 0) : place.at - start
    if (isMeasured) {
      const heard = recorded.slice(start + moved, start + moved + samples.length)
      // what was near full scale may pass it when its rate is changed
      const clipped = heard.map((sample) => Math.max(-1, Math.min(1, sample)))
      made[at] = { ...(sounds[at] as Made), samples: clipped }
      const isDisplaced = offset !== null && Math.abs(moved - offset) > displacement * sampleRate
      found.push({ likeness: place.likeness, gain: rms(heard) / rms(samples), isDisplaced })
    }
    offset = moved
    start += samples.length
  }
  const likeness = found.map((sound) => sound.likeness)
  const gains = found.map(({ gain }) => gain)
  return {
    made,
    account: {
      likeness: { least: rounded(Math.min(...likeness)), median: rounded(quantile(likeness, 0.5) ?? 0) },
      gain: rounded(20 * Math.log10(quantile(gains, 0.5) ?? 0), 1),
      displaced: found.filter(({ isDisplaced }) => isDisplaced).length,
      lost,
    },
  }
}

interface Turn {
  samples: Float32Array
  /** the sound's place among those given */
  at: number
  isMeasured: boolean
}

/** Noise after noise, each with as many of its sounds before it as it takes to settle. */
function orderOf(sounds: readonly Made[]): Turn[] {
  const turns = sounds.map(({ samples }, at): Turn => ({ samples, at, isMeasured: true }))
  const kinds = [...new Set(sounds.map(({ noise }) => noise))]
  return kinds.flatMap((kind) => {
    const measured = turns.filter(({ at }) => sounds[at]?.noise === kind)
    const before: Turn[] = []
    for (let length = 0; length < settling * sampleRate; length += before.at(-1)?.samples.length ?? 0)
      before.push({ ...(measured[before.length % measured.length] as Turn), isMeasured: false })
    return [...before, ...measured]
  })
}

/** What the page gets of a tape, at the fixtures' rate, from about when the tape began. */
async function record(
  site: Served,
  tape: Float32Array,
  processing: Processing,
): Promise<{ recorded: Float32Array; lost: number }> {
  const { page, close } = await openHearingPage(site, { microphone: tape })
  try {
    const done = await page.evaluate((wanted) => window.hearingPage.startRecording(wanted), processing)
    for (const [name, value] of Object.entries({ ...processing, echoCancellation: true })) {
      const is = done[name as keyof typeof done]
      if (is !== value) throw new Error(`asked for ${name} ${value}, the browser has it ${is}`)
    }
    const { process } = createResampler(48000, sampleRate)
    const pieces: Float32Array[] = []
    let lost = 0
    for (let length = 0; length < tape.length; length += pieces.at(-1)?.length ?? 0) {
      await wait(1000)
      const taken = await page.evaluate(() => window.hearingPage.takeRecorded())
      const bytes = new Uint8Array(Buffer.from(taken.sound, 'base64'))
      pieces.push(process(new Float32Array(bytes.buffer)))
      lost = taken.lost
    }
    return { recorded: joined(pieces), lost }
  } finally {
    await close()
  }
}

/**
 * The high frequencies more than the low ones, whose phase the browser's processing turns: without it they are found
 * some milliseconds off.
 */
const differences = (samples: Float32Array): Float32Array =>
  samples.map((sample, at) => sample - (samples[at - 1] ?? 0))

/** Where in a recording a sound's beginning is, by the part of it in which speech begins; by normalised correlation. */
function find(
  sound: Float32Array,
  recorded: Float32Array,
  near: number,
  within: number,
): { at: number; likeness: number } {
  const skipped = Math.round(leadIn * sampleRate)
  const marker = sound.subarray(skipped, skipped + Math.round(markerSeconds * sampleRate))
  const energyOf = (samples: Float32Array): number => rms(samples) ** 2 * samples.length
  const energy = energyOf(marker)
  const first = Math.max(0, near - Math.round(within * sampleRate))
  let best = { at: near, likeness: 0 }
  for (let at = first; at <= near + within * sampleRate; at++) {
    const there = recorded.subarray(at + skipped, at + skipped + marker.length)
    let product = 0
    for (let i = 0; i < there.length; i++) product += (marker[i] as number) * (there[i] as number)
    const likeness = product / Math.sqrt(energy * energyOf(there))
    if (likeness > best.likeness) best = { at, likeness }
  }
  return best
}

function joined(pieces: readonly Float32Array[]): Float32Array {
  const all = new Float32Array(pieces.reduce((sum, { length }) => sum + length, 0))
  let at = 0
  for (const piece of pieces) {
    all.set(piece, at)
    at += piece.length
  }
  return all
}
