import { readVoiceIndex, type Clip, type VoiceIndex, type VoiceName } from '../voiceIndex.ts'
import { everyPhrase, type RecordedLanguage } from '../wording.ts'
import { finishRecording } from './finish.ts'
import type { Synthesise } from './flite.ts'
import { joinBytes } from './joinBytes.ts'
import { encodeOggOpus } from './oggOpus.ts'

/** Which of flite's voices each of ours is. */
const fliteVoices: Record<VoiceName, string> = { man: 'rms', woman: 'slt', scot: 'awb' }

/** Change it with anything that changes how a text sounds: everything is then recorded anew. */
const recipeVersion = 4

/** What {@link VoiceIndex.recipe} says of recordings made now. */
function recipeOf(voice: VoiceName, respellings: Respellings): string {
  return `${recipeVersion} flite ${fliteVoices[voice]} ${JSON.stringify(respellings)}`
}

/** Words the synthesiser says wrongly, and how to write them so that it says them rightly. */
export type Respellings = Readonly<Record<string, string>>

/** A voice's two files. */
export interface RenderedVoice {
  index: VoiceIndex
  sound: Uint8Array
}

/** Whether a voice's files, read from disk, already hold what the language needs and nothing else. */
export function isUpToDate(index: VoiceIndex, language: RecordedLanguage, respellings: Respellings): boolean {
  const wanted = everyPhrase(language)
  return (
    index.recipe === recipeOf(index.voice, respellings) &&
    wanted.length === Object.keys(index.clips).length &&
    wanted.every((phrase) => index.clips[phrase])
  )
}

/**
 * Records every phrase of a language in one voice.
 * @param before earlier files of the same voice: phrases that have not changed are taken from them
 */
export async function renderVoice(
  synthesise: Synthesise,
  language: RecordedLanguage,
  voice: VoiceName,
  respellings: Respellings,
  before?: RenderedVoice,
): Promise<RenderedVoice> {
  const recipe = recipeOf(voice, respellings)
  const reusable = before?.index.recipe === recipe ? before : undefined
  const clips: Record<string, Clip> = {}
  const streams: Uint8Array[] = []
  let offset = 0
  for (const phrase of everyPhrase(language)) {
    const old = reusable?.index.clips[phrase]
    const made =
      reusable && old
        ? { stream: reusable.sound.subarray(old.offset, old.offset + old.bytes), seconds: old.seconds }
        : await record(synthesise, voice, phrase, respellings)
    clips[phrase] = { offset, bytes: made.stream.length, seconds: made.seconds }
    streams.push(made.stream)
    offset += made.stream.length
  }
  const index = readVoiceIndex({ voice, language: language.name, recipe, bytes: offset, clips })
  return { index, sound: joinBytes(streams) }
}

async function record(synthesise: Synthesise, voice: VoiceName, phrase: string, respellings: Respellings) {
  const { samples, sampleRate } = await synthesise(fliteVoices[voice], respell(phrase, respellings))
  if (sampleRate !== 16_000)
    throw new Error(`flite's voice ${fliteVoices[voice]} is of ${sampleRate} Hz, not 16000`)
  const finished = finishRecording(samples, sampleRate)
  return {
    stream: encodeOggOpus(finished, sampleRate, serialOf(phrase)),
    seconds: finished.length / sampleRate,
  }
}

function respell(phrase: string, respellings: Respellings): string {
  return phrase.replace(/[\p{L}']+/gu, (word) => respellings[word.toLowerCase()] ?? word)
}

/** A serial number for a phrase's stream, the same in every run (FNV-1a, 32 bits). */
function serialOf(phrase: string): number {
  return [...new TextEncoder().encode(phrase)].reduce(
    (hash, byte) => Math.imul(hash ^ byte, 0x01000193) >>> 0,
    0x811c9dc5,
  )
}
