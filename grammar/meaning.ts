import * as v from 'valibot'
import {
  groups,
  houseFields,
  destinations,
  looks,
  notLiquids,
  recipeNames,
  roomReadings,
  serverRequests,
  tastes,
  type Intent,
  type Meaning,
  type SettingChange,
  type Slots,
} from '../src/messages/command.ts'
import { TagError, type Reading } from './tags.ts'

const none = v.pipe(
  v.strictObject({}),
  v.transform(() => null),
)
const number = v.strictObject({ number: v.number() })
const which = v.optional(v.nullable(v.picklist(['first', 'second', 'third', 'last', 'all'])), null)
const direction = v.picklist(['up', 'down'])

const settingChange: v.GenericSchema<unknown, SettingChange> = v.union([
  v.strictObject({ setting: v.picklist(['loudness', 'speed', 'hand-off limit']), change: direction }),
  v.strictObject({ setting: v.literal('hand-off limit'), value: v.number() }),
  v.strictObject({ setting: v.literal('prompts'), value: v.picklist(['long', 'short', 'warnings']) }),
  v.strictObject({ setting: v.literal('voice'), change: v.literal('next') }),
  v.strictObject({
    setting: v.picklist([
      'larger moves',
      'hand-off clock',
      'digits',
      'name to call',
      'screen reader',
      'practice',
      'pump',
    ]),
    value: v.boolean(),
  }),
])

/** The slots of each intent as tags must give them; what is left unsaid gets its default here. */
const schemas: { [I in Intent]: v.GenericSchema<unknown, Slots[I]> } = {
  next: none,
  'grind by': v.strictObject({ notches: v.number() }),
  'grind at': v.strictObject({ notch: v.number() }),
  purged: none,
  dose: v.strictObject({ amount: v.number() }),
  drink: v.strictObject({ amount: v.number(), unit: v.picklist(['grams', 'millilitres', 'fluid ounces']) }),
  'start pour': none,
  'stop pour': none,
  'start group': v.strictObject({ group: v.picklist(groups) }),
  'stop group': v.strictObject({ group: v.picklist(groups) }),
  'time was': v.strictObject({ seconds: v.number() }),
  'first drip': none,
  strength: v.strictObject({ percent: v.number() }),
  cups: v.strictObject({ count: v.number() }),
  look: v.strictObject({ look: v.picklist(looks) }),
  taste: v.strictObject({ taste: v.picklist(tastes) }),
  'leave it': none,
  'serve anyway': none,
  'tamp force': v.strictObject({ amount: v.number(), unit: v.picklist(['pounds', 'kilograms']) }),
  'hand off': v.strictObject({ into: v.picklist(destinations), which }),
  'hand off refused': v.strictObject({ into: v.picklist(notLiquids) }),
  discard: v.strictObject({ which }),
  yes: none,
  no: none,
  repeat: v.strictObject({ slower: v.optional(v.boolean(), false) }),
  spell: none,
  help: none,
  status: none,
  why: none,
  time: none,
  undo: none,
  hush: none,
  'pause listening': none,
  'resume listening': none,
  set: settingChange,
  settings: none,
  'learn pedal': none,
  'model back': none,
  'forget pump': none,
  server: v.strictObject({ request: v.picklist(serverRequests) }),
  'open shift': none,
  'end shift': none,
  report: none,
  'week report': none,
  window: v.strictObject({ opens: v.number(), closes: v.number() }),
  recipe: v.strictObject({ recipe: v.picklist(recipeNames) }),
  'house recipe': v.strictObject({ field: v.picklist(houseFields), amount: v.number() }),
  coffee: number,
  grinder: number,
  'new bag': none,
  roasted: v.strictObject({ days: v.number() }),
  room: v.strictObject({ reading: v.picklist(roomReadings), amount: v.number() }),
  person: number,
  'erase person': number,
  calibrate: none,
  drill: number,
  back: none,
  skip: none,
  progress: none,
  'stop drill': none,
}

export const intents = Object.keys(schemas) as Intent[]

/**
 * The typed meaning of a reading.
 * @throws TagError when there is no such intent, or its slots are not those of the contract
 */
export function meaningOf({ intent, slots }: Reading): Meaning {
  if (!isIntent(intent)) throw new TagError(`there is no intent "${intent}"`)
  const result = v.safeParse(schemas[intent], slots)
  if (!result.success) {
    const [issue] = result.issues
    const slot = v.getDotPath(issue)
    throw new TagError(`${intent}: ${slot === null ? '' : `"${slot}": `}${issue.message}`)
  }
  // the schema table pairs each intent with its own slots; the compiler cannot follow that through the index
  return { intent, slots: result.output } as Meaning
}

function isIntent(text: string): text is Intent {
  return Object.hasOwn(schemas, text)
}
