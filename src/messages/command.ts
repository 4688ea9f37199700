/**
 * What a person told the tool to do. Hearing makes commands from speech; keys, touch and pedals make the
 * very same commands. The bar machine is their only reader.
 *
 * Adding one: a line in {@link Slots}, a phrase with its tags in `grammar/<language>/*.jsgf`, a transition
 * in the machine of `src/bar` that answers it.
 */

/** How a quantity of drink was said. Converted to grams or millilitres at the edge of the bar. */
export type AmountUnit = 'grams' | 'millilitres' | 'fluid ounces'

/** The groups of a machine with two, as the barista sees them. */
export const groups = ['left', 'right'] as const
export type Group = (typeof groups)[number]

/** What a shot looked like on its way out. */
export const looks = [
  'even',
  'dark drips',
  'gushing',
  'pale',
  'no crema',
  'spraying',
  'choked',
  'blond early',
  'one side',
  'foamy',
] as const
export type Look = (typeof looks)[number]

/** What a shot tasted of. */
export const tastes = ['good', 'sour', 'bitter', 'burnt', 'gritty', 'thin', 'flat'] as const
export type Taste = (typeof tastes)[number]

/** Liquids a shot may be handed off into. */
export const liquids = [
  'water',
  'milk',
  'syrup',
  'oat milk',
  'soy milk',
  'cream',
  'tonic',
  'almond milk',
  'coconut milk',
  'chocolate milk',
  'lemonade',
  'ice cream',
] as const
export type Liquid = (typeof liquids)[number]

/** Where a shot may go: into a liquid, over ice, or neat to the guest. */
export const destinations = [...liquids, 'ice', 'neat'] as const
export type Destination = (typeof destinations)[number]

/** Things a shot must not be handed off into: they are not liquids. */
export const notLiquids = ['sauce', 'powder'] as const
export type NotLiquid = (typeof notLiquids)[number]

/** Which running hand-off clock is meant. `null`: the oldest still running. */
export type Which = 'first' | 'second' | 'third' | 'last' | 'all' | null

/** Settings that can be nudged or set by voice. Their ranges are in `src/bar/settings.ts`. */
export type SettingChange =
  | { setting: 'loudness' | 'speed' | 'hand-off limit'; change: 'up' | 'down' }
  | { setting: 'hand-off limit'; value: number }
  /** whether cups of the recipe in use have a clock; shots pulled straight into the drink need none */
  | { setting: 'hand-off clock'; value: boolean }
  | { setting: 'prompts'; value: 'long' | 'short' | 'warnings' }
  | { setting: 'voice'; change: 'next' }
  | {
      setting: 'larger moves' | 'digits' | 'name to call' | 'screen reader' | 'practice' | 'pump'
      value: boolean
    }

/** Recipes by the names in which they are asked for. */
export const recipeNames = ['single', 'double', 'triple', 'ristretto', 'long', 'house'] as const
export type RecipeName = (typeof recipeNames)[number]

/** What can be set of the house's own recipe: dose and yield in grams, the window's ends in seconds. */
export const houseFields = ['dose', 'yield', 'opens', 'closes'] as const
export type HouseField = (typeof houseFields)[number]

/** What can be read off in the room. */
export const roomReadings = ['temperature', 'humidity'] as const
export type RoomReading = (typeof roomReadings)[number]

/** What is asked about the server that keeps several devices' logs alike. */
export const serverRequests = ['use', 'leave', 'exchange', 'status', 'address'] as const
export type ServerRequest = (typeof serverRequests)[number]

/** The slots of each intent. An intent without slots has `null`. */
export interface Slots {
  // the loop
  next: null
  'grind by': { /** positive is finer */ notches: number }
  'grind at': { notch: number }
  purged: null
  dose: { amount: number }
  drink: { amount: number; unit: AmountUnit }
  'start pour': null
  'stop pour': null
  /** the same on a named group: "left start", "right stop" */
  'start group': { group: Group }
  'stop group': { group: Group }
  'time was': { seconds: number }
  /** the first drip fell; the onset of the word is its moment */
  'first drip': null
  /** refractometer reading: dissolved coffee, percent by mass */
  strength: { percent: number }
  /** how many cups the shot is split into: each has a hand-off clock of its own */
  cups: { count: number }
  look: { look: Look }
  taste: { taste: Taste }
  'leave it': null
  /** overrules "do not serve" */
  'serve anyway': null
  'tamp force': { amount: number; unit: 'pounds' | 'kilograms' }
  // hand-off
  'hand off': { into: Destination; which: Which }
  'hand off refused': { into: NotLiquid }
  discard: { which: Which }
  // talk
  yes: null
  no: null
  repeat: { slower: boolean }
  spell: null
  help: null
  status: null
  why: null
  time: null
  undo: null
  /** be quiet: drop what is being spoken, and nothing else */
  hush: null
  'pause listening': null
  'resume listening': null
  set: SettingChange
  /** opens the words for the settings, until "next" */
  settings: null
  'learn pedal': null
  /** goes back to the recognition model before */
  'model back': null
  /** deletes what was learnt of the pump */
  'forget pump': null
  /** use it or not, exchange at once, how it stands, and where it is, which cannot be said */
  server: { request: ServerRequest }
  // the shift
  'open shift': null
  'end shift': null
  report: null
  'week report': null
  recipe: { recipe: RecipeName }
  /** the window the house works with, seconds */
  window: { opens: number; closes: number }
  /** one number of the house's own recipe: grams, or seconds of its window */
  'house recipe': { field: HouseField; amount: number }
  coffee: { number: number }
  grinder: { number: number }
  'new bag': null
  /** the coffee in use was roasted so many days ago */
  roasted: { days: number }
  /** a reading in the room: degrees Celsius, or relative humidity in percent */
  room: { reading: RoomReading; amount: number }
  person: { number: number }
  'erase person': { number: number }
  calibrate: null
  // drills
  drill: { number: number }
  back: null
  skip: null
  progress: null
  'stop drill': null
}

export type Intent = keyof Slots

/** Where a command came from. Only voice has a confidence below 1. */
export type Source = 'voice' | 'key' | 'touch' | 'pedal' | 'pump'

/** The words of a command without its time and place: what a grammar's tags spell out. */
export type Meaning = { [I in Intent]: { intent: I; slots: Slots[I] } }[Intent]

/** A command with its times in seconds on the bar clock (see `src/messages/clock.ts`). */
export type Command = Meaning & {
  /** start of its first word */
  onset: number
  /** end of its last word */
  end: number
  /** 0 to 1 */
  confidence: number
  /** the words as heard, or the key's name */
  heard: string
  source: Source
}
