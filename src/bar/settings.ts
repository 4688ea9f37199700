import * as v from 'valibot'
import { recipeNames, type SettingChange } from '../messages/command.ts'

const percent = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(100))

/**
 * Everything a house can set, in one schema: voice, keyboard and file all change the same values.
 * The defaults suit a first-time user.
 */
export const settingsSchema = v.object({
  language: v.optional(v.pipe(v.string(), v.regex(/^[a-z]{2}$/)), 'en'),
  /** of speech and earcons, in percent */
  loudness: v.optional(percent, 80),
  /** of speech: 1 is normal */
  speed: v.optional(v.picklist([0.8, 1, 1.25]), 1),
  /** long for a trainee, short for a regular, warnings only for somebody who wants quiet */
  prompts: v.optional(v.picklist(['long', 'short', 'warnings']), 'long'),
  /** number of the voice, from 1 */
  voice: v.optional(v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(9)), 1),
  /** read numbers digit by digit */
  digits: v.optional(v.boolean(), false),
  /** seconds from the end of the pour to the liquid; 10 is common practice */
  handOffLimit: v.optional(v.pipe(v.number(), v.minValue(5), v.maxValue(30)), 10),
  /** recipes that are pulled straight into the drink, so their cups have no clock */
  withoutClock: v.optional(v.array(v.picklist(recipeNames)), []),
  /** let the adviser move the grind by more than one notch when it is sure */
  largerMoves: v.optional(v.boolean(), false),
  /** obey only commands that start with the name to call */
  nameToCall: v.optional(v.boolean(), false),
  /** a screen reader speaks the screen: the announcer leaves answers and prompts to it */
  screenReader: v.optional(v.boolean(), false),
  /** pull shots on the simulated bench, without coffee */
  practice: v.optional(v.boolean(), false),
  /** listen for the pump, learn it, and time the pour by it */
  pump: v.optional(v.boolean(), false),
  /** keyboard code the foot switch sends */
  pedal: v.optional(v.pipe(v.string(), v.maxLength(40)), 'F13'),
  /** letters, digits and signs on the keyboard are commands; the space bar and the pedal always are */
  keys: v.optional(v.boolean(), true),
  /** what the screen looks like */
  look: v.optional(v.picklist(['system', 'light', 'dark', 'contrast']), 'system'),
})
export type Settings = v.InferOutput<typeof settingsSchema>
export type SettingName = keyof Settings

/** The settings of a first-time user. */
export const defaultSettings: Settings = v.parse(settingsSchema, {})

/**
 * Checks settings from a file or an earlier version. What is missing gets its default.
 * @throws {RangeError} naming the first value that is out of range and what is allowed
 */
export function readSettings(value: unknown): Settings {
  const result = v.safeParse(settingsSchema, value)
  if (result.success) return result.output
  const issue = result.issues[0]
  throw new RangeError(`setting ${v.getDotPath(issue) ?? '(all)'}: ${issue.message}`)
}

/** Settings stored by an earlier program: what is missing or not allowed any more gets its default. */
export function keepSettings(stored: unknown): Settings {
  const values = (stored ?? {}) as Record<string, unknown>
  const kept = Object.entries(settingsSchema.entries).flatMap(([name, schema]) => {
    const result = v.safeParse(schema, values[name])
    return result.success ? [[name, result.output]] : []
  })
  return v.parse(settingsSchema, Object.fromEntries(kept))
}

const steps = { loudness: 15, handOffLimit: 1 } as const
const speeds = [0.8, 1, 1.25] as const

/** A change that was made, or why it could not be. */
export type Changed =
  { settings: Settings; setting: SettingName } | { refused: 'at the end' | 'out of range' }

/** Applies a spoken change. Out of range changes nothing and says so. `recipe`: the one in use. */
export function changeSetting(
  settings: Settings,
  change: SettingChange,
  voices: number,
  recipe: Settings['withoutClock'][number],
): Changed {
  const made = (setting: SettingName, value: unknown): Changed => {
    if (settings[setting] === value) return { refused: 'at the end' }
    const result = v.safeParse(settingsSchema, { ...settings, [setting]: value })
    return result.success ? { settings: result.output, setting } : { refused: 'out of range' }
  }
  switch (change.setting) {
    case 'loudness': {
      const step = change.change === 'up' ? steps.loudness : -steps.loudness
      // 5 % stays audible: a tool that works by ear must not be silenced by one "quieter" too many
      return made('loudness', Math.min(100, Math.max(5, settings.loudness + step)))
    }
    case 'speed': {
      const at = speeds.indexOf(settings.speed) + (change.change === 'up' ? 1 : -1)
      return made('speed', speeds[Math.min(speeds.length - 1, Math.max(0, at))])
    }
    case 'hand-off limit':
      return made(
        'handOffLimit',
        'value' in change ? change.value : settings.handOffLimit + (change.change === 'up' ? 1 : -1),
      )
    case 'hand-off clock': {
      const others = settings.withoutClock.filter((each) => each !== recipe)
      if (settings.withoutClock.includes(recipe) !== change.value) return { refused: 'at the end' }
      return made('withoutClock', change.value ? others : [...others, recipe])
    }
    case 'prompts':
      return made('prompts', change.value)
    case 'voice':
      return made('voice', (settings.voice % voices) + 1)
    case 'larger moves':
      return made('largerMoves', change.value)
    case 'digits':
      return made('digits', change.value)
    case 'name to call':
      return made('nameToCall', change.value)
    case 'screen reader':
      return made('screenReader', change.value)
    case 'pump':
      return made('pump', change.value)
    case 'practice':
      return made('practice', change.value)
  }
}
