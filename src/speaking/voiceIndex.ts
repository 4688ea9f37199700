import * as v from 'valibot'

/** The voices, in the order in which a user meets them: number 1 is the first. */
export const voices = ['man', 'woman', 'scot'] as const
export type VoiceName = (typeof voices)[number]

/** Where a recording lies in its voice's file, and how long it sounds. */
const clipSchema = v.object({
  offset: v.pipe(v.number(), v.integer(), v.minValue(0)),
  bytes: v.pipe(v.number(), v.integer(), v.minValue(1)),
  seconds: v.pipe(v.number(), v.minValue(0)),
})
export type Clip = v.InferOutput<typeof clipSchema>

/**
 * What `<voice>.json` says about `<voice>.opus`. That file is a chain of Ogg Opus streams (RFC 3533, section 4; RFC
 * 7845), one a phrase, so any phrase can be decoded by itself and to the sample.
 */
const indexSchema = v.object({
  voice: v.picklist(voices),
  language: v.string(),
  /** changes when the same text would be recorded differently */
  recipe: v.string(),
  /** size of the whole sound file */
  bytes: v.pipe(v.number(), v.integer(), v.minValue(0)),
  /** by the phrase that is spoken */
  clips: v.record(v.string(), clipSchema),
})
export type VoiceIndex = v.InferOutput<typeof indexSchema>

/** @throws {Error} that names what is wrong with an index */
export function readVoiceIndex(json: unknown): VoiceIndex {
  const result = v.safeParse(indexSchema, json)
  if (!result.success) {
    const issue = result.issues[0]
    throw new Error(`${v.getDotPath(issue) ?? 'index'}: ${issue.message}`)
  }
  const outside = Object.entries(result.output.clips).find(
    ([, clip]) => clip.offset + clip.bytes > result.output.bytes,
  )
  if (outside) throw new Error(`"${outside[0]}" lies outside the file of ${result.output.bytes} bytes`)
  return result.output
}
