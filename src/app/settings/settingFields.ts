import { type SettingName, settingsSchema } from '../../bar/index.ts'

/** How one setting is asked for on the screen. */
export type SettingField = { name: SettingName } & (
  | { kind: 'choice'; options: readonly (string | number)[] }
  | { kind: 'number'; low: number; high: number }
  | { kind: 'switch' }
  | { kind: 'text' }
)

/** Just enough of a schema to ask for its values: all settings are optional wrappings of these. */
interface Readable {
  type: string
  wrapped?: Readable
  options?: readonly (string | number)[]
  pipe?: readonly { type: string; requirement?: unknown }[]
}

/** The field of a setting, read off the one schema: its kind, choices and range are written nowhere else. */
export function fieldOf(name: SettingName): SettingField {
  const schema = settingsSchema.entries[name] as unknown as Readable
  const inner = schema.wrapped ?? schema
  switch (inner.type) {
    case 'picklist':
      return { name, kind: 'choice', options: inner.options ?? [] }
    case 'boolean':
      return { name, kind: 'switch' }
    case 'number':
      return { name, kind: 'number', low: bound(inner, 'min_value'), high: bound(inner, 'max_value') }
    default:
      return { name, kind: 'text' }
  }
}

function bound({ pipe = [] }: Readable, type: 'min_value' | 'max_value'): number {
  const found = pipe.find((action) => action.type === type)?.requirement
  if (typeof found !== 'number') throw new Error(`a number among the settings has no ${type}`)
  return found
}
