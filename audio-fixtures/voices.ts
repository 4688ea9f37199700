import { readFileSync } from 'node:fs'
import * as v from 'valibot'

const Voice = v.object({
  engine: v.picklist(['flite', 'espeak-ng']),
  /** the engine's own name for the voice */
  voice: v.string(),
  /** 1 is the engine's own speed, 2 is twice as fast */
  pace: v.pipe(v.number(), v.minValue(0.5), v.maxValue(2)),
  /** what it sounds like, for people */
  sounds: v.string(),
})
export type Voice = v.InferOutput<typeof Voice>

/** Every synthetic voice of the fixtures by name, from `voices.json`. */
export const voices: Readonly<Record<string, Voice>> = v.parse(
  v.record(v.string(), Voice),
  JSON.parse(readFileSync(new URL('./voices.json', import.meta.url), 'utf8')),
)
