import { recipeRanges } from '../../coffee/index.ts'
import { ranges } from '../../bar/index.ts'
import {
  destinations,
  groups,
  houseFields,
  looks,
  notLiquids,
  recipeNames,
  serverRequests,
  tastes,
  type Destination,
  type Intent,
  type Meaning,
  type SettingChange,
  type Which,
} from '../../messages/command.ts'
import type { GrammarName } from '../../messages/grammarName.ts'
import type { ScreenKey } from '../words/words.ts'

/** One thing that can be pressed: on the screen, and by its key. */
export type Control = {
  label: ScreenKey
  /** keyboard code (W3C UI Events KeyboardEvent code Values), `Shift+` before it where Shift is held */
  key: string
} & (
  | { kind: 'say'; meaning: Meaning }
  /** several words for one thing: its key opens the list, a digit chooses */
  | { kind: 'choose'; options: readonly Option[] }
  /** a number, given on a pad; each answer makes another command of it */
  | { kind: 'number'; low: number; high: number; decimals: 0 | 1; answers: readonly Answer[] }
)

export interface Option {
  label: ScreenKey
  meaning: Meaning
}

export interface Answer {
  label: ScreenKey
  meaning: (value: number) => Meaning
}

type Plain = { [I in Intent]: Extract<Meaning, { intent: I }>['slots'] extends null ? I : never }[Intent]

const plain = (intent: Plain): Meaning => ({ intent, slots: null }) as Meaning
const say = (label: ScreenKey, key: string, meaning: Meaning): Control => ({
  kind: 'say',
  label,
  key,
  meaning,
})
const choose = (label: ScreenKey, key: string, options: readonly Option[]): Control => ({
  kind: 'choose',
  label,
  key,
  options,
})
const number = (
  label: ScreenKey,
  key: string,
  { low, high }: { low: number; high: number },
  decimals: 0 | 1,
  ...answers: Answer[]
): Control => ({ kind: 'number', label, key, low, high, decimals, answers })
const set = (label: ScreenKey, key: string, slots: SettingChange): Control =>
  say(label, key, { intent: 'set', slots })
const option = (label: ScreenKey, slots: SettingChange): Option => ({
  label,
  meaning: { intent: 'set', slots },
})
const onOff = (
  label: ScreenKey,
  key: string,
  setting: Extract<SettingChange, { value: boolean }>['setting'],
): Control =>
  choose(label, key, [
    option(`control.${setting}.on`, { setting, value: true }),
    option(`control.${setting}.off`, { setting, value: false }),
  ])

export const next = say('control.next', 'Enter', plain('next'))
export const startPour = say('control.start pour', 'KeyG', plain('start pour'))
export const stopPour = say('control.stop pour', 'KeyS', plain('stop pour'))
const onGroup = (label: ScreenKey, key: string, intent: 'start group' | 'stop group'): Control =>
  choose(
    label,
    key,
    groups.map((group) => ({ label: `group.${group}`, meaning: { intent, slots: { group } } })),
  )
const startGroup = onGroup('control.start group', 'Shift+KeyJ', 'start group')
const stopGroup = onGroup('control.stop group', 'Shift+KeyS', 'stop group')
export const purged = say('control.purged', 'KeyU', plain('purged'))
export const openShift = say('control.open shift', 'KeyO', plain('open shift'))
export const resumeListening = say('control.resume listening', 'KeyP', plain('resume listening'))
export const sayNo = say('control.no', 'KeyN', plain('no'))
export const learnPedal = say('control.learn pedal', 'Shift+KeyF', plain('learn pedal'))
export const noteDose = number('control.dose', 'KeyD', recipeRanges.dose, 1, {
  label: 'unit.grams',
  meaning: (amount) => ({ intent: 'dose', slots: { amount } }),
})
export const tampForce = number(
  'control.tamp force',
  'KeyF',
  { low: 1, high: 220 },
  1,
  {
    label: 'unit.pounds',
    meaning: (amount) => ({ intent: 'tamp force', slots: { amount, unit: 'pounds' } }),
  },
  {
    label: 'unit.kilograms',
    meaning: (amount) => ({ intent: 'tamp force', slots: { amount, unit: 'kilograms' } }),
  },
)

/** Where most shots go has a key of its own, the digits in this order; for the rest a list opens. */
const keyed: readonly Destination[] = [
  'water',
  'milk',
  'syrup',
  'oat milk',
  'soy milk',
  'cream',
  'tonic',
  'neat',
  'ice',
]

/** What may be pressed while a cup waits: where it may go, and throwing it out. The keys are those of the oldest cup and of all. */
export function handOffControls(which: Which): Control[] {
  const shift = which === 'all' ? 'Shift+' : ''
  return [
    ...keyed.map((into, index) =>
      say(`destination.${into}`, `${shift}Digit${index + 1}`, { intent: 'hand off', slots: { into, which } }),
    ),
    choose(
      'control.elsewhere',
      `${shift}Digit0`,
      destinations
        .filter((into) => !keyed.includes(into))
        .map((into) => ({
          label: `destination.${into}`,
          meaning: { intent: 'hand off', slots: { into, which } },
        })),
    ),
    say('control.discard', `${shift}Delete`, { intent: 'discard', slots: { which } }),
  ]
}

/** Windows in which houses work: common practice. Any other is said, or set with the house recipe. */
const usualWindows = [
  { label: 'window.17 to 22', opens: 17, closes: 22 },
  { label: 'window.20 to 25', opens: 20, closes: 25 },
  { label: 'window.25 to 30', opens: 25, closes: 30 },
  { label: 'window.25 to 35', opens: 25, closes: 35 },
] as const

/** Ways to move the grind and what goes with it: open where the grind may be touched. */
const grind: readonly Control[] = [
  say('control.finer', 'BracketRight', { intent: 'grind by', slots: { notches: 1 } }),
  say('control.coarser', 'BracketLeft', { intent: 'grind by', slots: { notches: -1 } }),
  number(
    'control.grind by',
    'Shift+BracketRight',
    ranges.move,
    1,
    { label: 'unit.finer', meaning: (notches) => ({ intent: 'grind by', slots: { notches } }) },
    { label: 'unit.coarser', meaning: (notches) => ({ intent: 'grind by', slots: { notches: -notches } }) },
  ),
  number('control.grind at', 'KeyA', ranges.notch, 1, {
    label: 'unit.notch',
    meaning: (notch) => ({ intent: 'grind at', slots: { notch } }),
  }),
  purged,
  say('control.leave it', 'KeyX', plain('leave it')),
  next,
]

/**
 * A key and a touch target for everything that may be said, by the grammar in which it may be said. Keys that are
 * open together differ; a test holds both against the grammars.
 */
export const controls: Readonly<Record<GrammarName, readonly Control[]>> = {
  stop: [stopPour, say('control.hush', 'KeyH', plain('hush'))],
  talk: [
    say('control.repeat', 'KeyR', { intent: 'repeat', slots: { slower: false } }),
    say('control.slower', 'Shift+KeyR', { intent: 'repeat', slots: { slower: true } }),
    say('control.spell', 'KeyE', plain('spell')),
    say('control.help', 'Slash', plain('help')),
    say('control.status', 'KeyW', plain('status')),
    say('control.why', 'Shift+KeyW', plain('why')),
    say('control.time', 'KeyT', plain('time')),
    say('control.undo', 'Backspace', plain('undo')),
    say('control.pause listening', 'KeyP', plain('pause listening')),
    say('control.report', 'KeyV', plain('report')),
    say('control.week report', 'Quote', plain('week report')),
    choose('control.prompts', 'Semicolon', [
      option('control.prompts.long', { setting: 'prompts', value: 'long' }),
      option('control.prompts.short', { setting: 'prompts', value: 'short' }),
      option('control.prompts.warnings', { setting: 'prompts', value: 'warnings' }),
    ]),
    set('control.louder', 'Equal', { setting: 'loudness', change: 'up' }),
    set('control.quieter', 'Minus', { setting: 'loudness', change: 'down' }),
    set('control.speak faster', 'Period', { setting: 'speed', change: 'up' }),
    set('control.speak slower', 'Comma', { setting: 'speed', change: 'down' }),
  ],
  confirm: [say('control.yes', 'KeyY', plain('yes')), sayNo],
  paused: [resumeListening],
  shift: [
    openShift,
    choose(
      'control.recipe',
      'KeyM',
      recipeNames.map((recipe) => ({
        label: `recipe.${recipe}`,
        meaning: { intent: 'recipe', slots: { recipe } },
      })),
    ),
    choose(
      'control.window',
      'Shift+Quote',
      usualWindows.map(({ label, opens, closes }) => ({
        label,
        meaning: { intent: 'window', slots: { opens, closes } },
      })),
    ),
    number('control.coffee', 'KeyC', ranges.number, 0, {
      label: 'unit.coffee',
      meaning: (number) => ({ intent: 'coffee', slots: { number } }),
    }),
    number('control.grinder', 'Shift+KeyG', ranges.number, 0, {
      label: 'unit.grinder',
      meaning: (number) => ({ intent: 'grinder', slots: { number } }),
    }),
    number('control.person', 'KeyB', ranges.number, 0, {
      label: 'unit.person',
      meaning: (number) => ({ intent: 'person', slots: { number } }),
    }),
    say('control.new bag', 'KeyK', plain('new bag')),
    number('control.roasted', 'Shift+KeyA', ranges.beanAge, 0, {
      label: 'unit.days',
      meaning: (days) => ({ intent: 'roasted', slots: { days } }),
    }),
    number(
      'control.room',
      'Shift+KeyE',
      { low: 0, high: 99 },
      0,
      {
        label: 'unit.degrees',
        meaning: (amount) => ({ intent: 'room', slots: { reading: 'temperature', amount } }),
      },
      {
        label: 'unit.humidity',
        meaning: (amount) => ({ intent: 'room', slots: { reading: 'humidity', amount } }),
      },
    ),
    say('control.calibrate', 'Shift+KeyK', plain('calibrate')),
    say('control.settings', 'KeyJ', plain('settings')),
    number('control.erase person', 'Shift+KeyB', ranges.number, 0, {
      label: 'unit.erase',
      meaning: (number) => ({ intent: 'erase person', slots: { number } }),
    }),
    say('control.end shift', 'Shift+KeyO', plain('end shift')),
  ],
  grind,
  dose: [noteDose, next],
  tamp: [tampForce, next],
  ready: [
    startPour,
    startGroup,
    number('control.cups', 'KeyQ', { low: 1, high: 9 }, 0, {
      label: 'unit.cups',
      meaning: (count) => ({ intent: 'cups', slots: { count } }),
    }),
  ],
  pouring: [
    stopPour,
    startGroup,
    stopGroup,
    say('control.first drip', 'KeyZ', plain('first drip')),
    choose(
      'control.sign',
      'KeyL',
      (['blond early', 'one side', 'spraying'] as const).map((look) => ({
        label: `look.${look}`,
        meaning: { intent: 'look', slots: { look } },
      })),
    ),
  ],
  judge: [
    choose(
      'control.look',
      'KeyL',
      looks.map((look) => ({ label: `look.${look}`, meaning: { intent: 'look', slots: { look } } })),
    ),
    choose(
      'control.taste',
      'Shift+KeyT',
      tastes.map((taste) => ({ label: `taste.${taste}`, meaning: { intent: 'taste', slots: { taste } } })),
    ),
    say('control.serve anyway', 'Shift+KeyX', plain('serve anyway')),
    number('control.strength', 'Shift+KeyS', ranges.strength, 1, {
      label: 'unit.percent',
      meaning: (percent) => ({ intent: 'strength', slots: { percent } }),
    }),
    number(
      'control.drink',
      'KeyI',
      { low: 0.2, high: 200 },
      1,
      {
        label: 'unit.grams',
        meaning: (amount) => ({ intent: 'drink', slots: { amount, unit: 'grams' } }),
      },
      {
        label: 'unit.millilitres',
        meaning: (amount) => ({ intent: 'drink', slots: { amount, unit: 'millilitres' } }),
      },
      {
        label: 'unit.fluid ounces',
        meaning: (amount) => ({ intent: 'drink', slots: { amount, unit: 'fluid ounces' } }),
      },
    ),
    next,
  ],
  timed: [
    number('control.time was', 'Shift+KeyI', ranges.pour, 1, {
      label: 'unit.seconds',
      meaning: (seconds) => ({ intent: 'time was', slots: { seconds } }),
    }),
  ],
  adjust: grind,
  handoff: [
    ...handOffControls(null),
    choose(
      'control.not liquid',
      'Backquote',
      notLiquids.map((into) => ({
        label: `notLiquid.${into}`,
        meaning: { intent: 'hand off refused', slots: { into } },
      })),
    ),
  ],
  drill: [
    number('control.drill', 'Shift+KeyD', { low: 1, high: 99 }, 0, {
      label: 'unit.drill',
      meaning: (number) => ({ intent: 'drill', slots: { number } }),
    }),
    next,
    say('control.back', 'ArrowLeft', plain('back')),
    say('control.skip', 'ArrowRight', plain('skip')),
    say('control.progress', 'Shift+KeyP', plain('progress')),
    say('control.stop drill', 'Shift+KeyQ', plain('stop drill')),
  ],
  settings: [
    set('control.longer', 'Shift+Period', { setting: 'hand-off limit', change: 'up' }),
    set('control.shorter', 'Shift+Comma', { setting: 'hand-off limit', change: 'down' }),
    number('control.limit', 'Shift+KeyL', { low: 5, high: 30 }, 0, {
      label: 'unit.seconds',
      meaning: (value) => ({ intent: 'set', slots: { setting: 'hand-off limit', value } }),
    }),
    set('control.voice', 'Shift+KeyV', { setting: 'voice', change: 'next' }),
    onOff('control.larger moves', 'Shift+KeyM', 'larger moves'),
    onOff('control.digits', 'Shift+KeyN', 'digits'),
    onOff('control.name to call', 'Shift+KeyH', 'name to call'),
    onOff('control.screen reader', 'Shift+KeyZ', 'screen reader'),
    onOff('control.hand-off clock', 'Shift+KeyJ', 'hand-off clock'),
    onOff('control.practice', 'Shift+KeyU', 'practice'),
    onOff('control.pump', 'Shift+Slash', 'pump'),
    say('control.forget pump', 'Shift+KeyY', plain('forget pump')),
    learnPedal,
    say('control.model back', 'Shift+KeyG', plain('model back')),
    choose(
      'control.server',
      'Shift+KeyX',
      serverRequests.map((request) => ({
        label: `control.server.${request}`,
        meaning: { intent: 'server', slots: { request } },
      })),
    ),
    number(
      'control.house recipe',
      'Shift+KeyC',
      { low: recipeRanges.opens.low, high: recipeRanges.grams.high },
      1,
      ...houseFields.map((field): Answer => ({
        label: `house.${field}`,
        meaning: (amount) => ({ intent: 'house recipe', slots: { field, amount } }),
      })),
    ),
    next,
  ],
}

/** The text that tells what to say for a control: its own label, or examples, where a label is not enough. */
export const sayingOf = ({ kind, label }: Control): ScreenKey =>
  kind === 'say' ? label : (`say.${label.replace(/^control\./, '')}` as ScreenKey)

/** Every command that a control can give, a number standing for all. */
export function meaningsOf(control: Control): Meaning[] {
  switch (control.kind) {
    case 'say':
      return [control.meaning]
    case 'choose':
      return control.options.map(({ meaning }) => meaning)
    case 'number':
      return control.answers.map(({ meaning }) => meaning(control.low))
  }
}

/** The controls of several grammars, each once. */
export function controlsIn(names: readonly GrammarName[]): Control[] {
  const byKey = new Map<string, Control>()
  for (const control of names.flatMap((name) => controls[name])) byKey.set(control.key, control)
  return [...byKey.values()]
}
