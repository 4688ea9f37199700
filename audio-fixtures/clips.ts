import { readFileSync } from 'node:fs'
import * as v from 'valibot'
import { decodeOpus } from './opus.ts'
import { sampleRate } from './wav.ts'

/**
 * The clips of one voice lie in one Opus file, `clips/<voice>.opus`, with their texts and the onset and end of the
 * speech of each, in seconds into that file, in `clips/<voice>.json`.
 */
export const ClipIndex = v.array(v.object({ text: v.string(), onset: v.number(), end: v.number() }))
export type ClipIndex = v.InferOutput<typeof ClipIndex>

/** Root mean square of the speech in every clip: 23 dB below full scale. */
export const speechLevel = 10 ** (-23 / 20)

/** One spoken text: samples from its onset to its end, nothing before or after. */
export interface Clip {
  voice: string
  text: string
  samples: Float32Array
}

/** Where a file of clips lies. */
export function clipFile(voice: string, kind: 'opus' | 'json'): URL {
  return new URL(`./clips/${voice}.${kind}`, import.meta.url)
}

const packs = new Map<string, Promise<ReadonlyMap<string, Clip>>>()

/** Every clip of a voice by its text, decoded once. */
export function clipsOf(voice: string): Promise<ReadonlyMap<string, Clip>> {
  const known = packs.get(voice)
  if (known) return known
  const pack = readPack(voice)
  packs.set(voice, pack)
  return pack
}

/** One clip. @throws when the voice never spoke that text: `npm run fixtures` makes what sessions ask for */
export async function clipOf(voice: string, text: string): Promise<Clip> {
  const clip = (await clipsOf(voice)).get(text)
  if (!clip)
    throw new Error(`there is no clip of voice "${voice}" saying "${text}"; npm run fixtures makes it`)
  return clip
}

async function readPack(voice: string): Promise<ReadonlyMap<string, Clip>> {
  const index = v.parse(ClipIndex, JSON.parse(readFileSync(clipFile(voice, 'json'), 'utf8')))
  const pack = await decodeOpus(new Uint8Array(readFileSync(clipFile(voice, 'opus'))))
  return new Map(
    index.map(({ text, onset, end }) => [
      text,
      { voice, text, samples: pack.slice(Math.round(onset * sampleRate), Math.round(end * sampleRate)) },
    ]),
  )
}
