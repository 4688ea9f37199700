import { readdirSync, readFileSync } from 'node:fs'
import * as v from 'valibot'
import type { Entry } from '../src/messages/entry.ts'
import { barSounds } from './barNoise.ts'

const positive = v.pipe(v.number(), v.minValue(0))

/** Decibels against the level of the speaker: -10 is quieter. */
const level = v.optional(v.number(), 0)

const Background = v.object({ sound: v.picklist([...barSounds, 'babble']), level })

const Sound = v.strictObject({
  /** seconds after the end of the last thing said */
  wait: positive,
  sound: v.picklist([...barSounds, 'babble']),
  /** seconds */
  lasts: positive,
  level,
})

const Said = v.strictObject({
  /** seconds from the end of the last thing said to the onset of this one */
  wait: v.optional(positive),
  /** instead of `wait`: seconds from the onset of the word that started the pour to the onset of this one */
  poured: v.optional(positive),
  say: v.string(),
  /** one of `voices.json`; without it, the session's own voice */
  voice: v.optional(v.string()),
  level,
  /** its onset starts or ends the pour */
  pour: v.optional(v.picklist(['starts', 'ends'])),
  /** it is no command for the tool: customers, chat, a slip of the tongue */
  talk: v.optional(v.boolean(), false),
})

const Session = v.object({
  title: v.string(),
  voice: v.string(),
  /** silence before the first word, seconds: time to get the tool going */
  leadIn: positive,
  /** silence after the last word, seconds */
  leadOut: positive,
  background: v.array(Background),
  lines: v.array(v.union([Said, Sound])),
  /** what the log must hold when the session is over, in order; each names the fields that matter */
  log: v.array(v.looseObject({ kind: v.string() })),
})
export type Session = v.InferOutput<typeof Session>
export type SaidLine = v.InferOutput<typeof Said>
/** Part of a log entry: its kind and those of its fields that a session insists on. */
export type ExpectedEntry = { kind: Entry['kind'] } & Record<string, unknown>

const folder = new URL('./sessions/', import.meta.url)

/** Names of all sessions, as `readSession` takes them. */
export const sessionNames: readonly string[] = readdirSync(folder)
  .filter((file) => file.endsWith('.json'))
  .map((file) => file.replace('.json', ''))
  .sort()

/** Reads a session's script. @throws when there is none of that name or it is not as it should be */
export function readSession(name: string): Session {
  if (!sessionNames.includes(name))
    throw new RangeError(`there is no session "${name}"; there are ${sessionNames.join(', ')}`)
  return v.parse(Session, JSON.parse(readFileSync(new URL(`${name}.json`, folder), 'utf8')))
}
