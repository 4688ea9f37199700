import { liquids, looks, notLiquids, tastes, type SettingChange } from '../../src/messages/command.ts'
import { intents } from '../meaning.ts'
import type { Misread, SpokenCommand } from './commands.ts'

/** Tags that make no command. */
export function checkTags(misread: readonly Misread[]): string[] {
  return misread.map(({ grammar, words, problem }) => `${grammar}: "${words.join(' ')}": ${problem}`)
}

/** Intents, and values of the contract's lists, that nothing lets a person say. */
export function checkUnsaid(commands: readonly SpokenCommand[]): string[] {
  const saidIntents = new Set<string>(commands.map(({ meaning }) => meaning.intent))
  const saidValues = new Set(
    commands.flatMap(({ meaning: { intent, slots } }) =>
      Object.values(slots ?? {}).map((value) => `${intent} ${String(value)}`),
    ),
  )
  const needed = [
    ...looks.map((look) => `look ${look}`),
    ...tastes.map((taste) => `taste ${taste}`),
    ...liquids.map((liquid) => `hand off ${liquid}`),
    ...notLiquids.map((stuff) => `hand off refused ${stuff}`),
    ...Object.keys(settings).map((setting) => `set ${setting}`),
  ]
  return [
    ...intents.filter((intent) => !saidIntents.has(intent)),
    ...needed.filter((value) => !saidValues.has(value)),
  ].map((what) => `"${what}" cannot be said`)
}

const settings: Record<SettingChange['setting'], true> = {
  loudness: true,
  speed: true,
  'hand-off limit': true,
  prompts: true,
  voice: true,
  'hand-off clock': true,
  'larger moves': true,
  digits: true,
  'name to call': true,
  'screen reader': true,
  practice: true,
  pump: true,
}
