import { SpeakingError } from './failure.ts'
import { readVoiceIndex, type VoiceName } from './voiceIndex.ts'

/** One voice's recordings, loaded. Phrases are decoded when they are first wanted: all at once would be 200 MB. */
export interface Recordings {
  voice: VoiceName
  /** @throws {SpeakingError} 'sentence broken' when the phrase was never recorded */
  seconds(phrase: string): number
  decode(phrase: string): Promise<Float32Array>
}

/** Seconds of decoded speech that are kept, latest used first: about 20 MB. */
const keptSeconds = 100

/**
 * Loads a voice.
 * @param folder address of the folder that holds `<language>/<voice>.opus` and `.json`
 * @throws {SpeakingError} 'voice missing' or 'voice broken'
 */
export async function loadRecordings(
  context: BaseAudioContext,
  folder: string,
  language: string,
  voice: VoiceName,
): Promise<Recordings> {
  const address = `${folder}/${language}/${voice}`
  const [index, sound] = await Promise.all([
    fetchFile(`${address}.json`, voice).then(async (response) => {
      try {
        return readVoiceIndex(await response.json())
      } catch (error) {
        throw new SpeakingError({ kind: 'voice broken', voice, detail: String(error) }, { cause: error })
      }
    }),
    fetchFile(`${address}.opus`, voice).then((response) => response.arrayBuffer()),
  ])
  if (sound.byteLength !== index.bytes) {
    const detail = `${address}.opus has ${sound.byteLength} bytes, not ${index.bytes}`
    throw new SpeakingError({ kind: 'voice broken', voice, detail })
  }

  const clip = (phrase: string) => {
    const found = index.clips[phrase]
    if (found) return found
    const detail = `the voice ${voice} has no recording of "${phrase}"`
    throw new SpeakingError({ kind: 'sentence broken', sentence: phrase, detail })
  }
  const decoded = new Map<string, Float32Array>()
  let kept = 0
  return {
    voice,
    seconds: (phrase) => clip(phrase).seconds,
    async decode(phrase) {
      const { offset, bytes, seconds } = clip(phrase)
      const before = decoded.get(phrase)
      if (before) {
        decoded.delete(phrase)
        decoded.set(phrase, before)
        return before
      }
      const samples = await decodeClip(context, sound.slice(offset, offset + bytes), voice, phrase)
      decoded.set(phrase, samples)
      kept += seconds
      for (const [oldest] of decoded) {
        if (kept <= keptSeconds) break
        decoded.delete(oldest)
        kept -= clip(oldest).seconds
      }
      return samples
    },
  }
}

async function fetchFile(address: string, voice: VoiceName): Promise<Response> {
  try {
    const response = await fetch(address)
    if (response.ok) return response
    throw new Error(`${address}: ${response.status}`)
  } catch (error) {
    throw new SpeakingError({ kind: 'voice missing', voice, detail: String(error) }, { cause: error })
  }
}

async function decodeClip(context: BaseAudioContext, bytes: ArrayBuffer, voice: VoiceName, phrase: string) {
  try {
    return (await context.decodeAudioData(bytes)).getChannelData(0)
  } catch (error) {
    const detail = `"${phrase}" cannot be decoded: ${String(error)}`
    throw new SpeakingError({ kind: 'voice broken', voice, detail }, { cause: error })
  }
}
