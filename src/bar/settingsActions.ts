import type { Cue } from '../messages/cue.ts'
import type { BarAction } from './effect.ts'
import { earcon, say } from './say.ts'
import { changeSetting, type SettingName, type Settings } from './settings.ts'

/** What a changed setting answers with. */
function settingCue(settings: Settings, setting: SettingName): Cue {
  switch (setting) {
    case 'prompts':
      return say(`setting.prompts.${settings.prompts}`)
    case 'handOffLimit':
      return say('setting.handOffLimit', { seconds: settings.handOffLimit })
    case 'withoutClock':
      return say(settings.withoutClock.length > 0 ? 'setting.withoutClock.off' : 'setting.withoutClock.on')
    case 'largerMoves':
    case 'digits':
    case 'nameToCall':
    case 'screenReader':
    case 'practice':
    case 'pump':
      return say(`setting.${setting}.${settings[setting] ? 'on' : 'off'}`)
    case 'speed':
      return say('setting.speed')
    case 'voice':
      return say('setting.voice')
    case 'pedal':
      return say('setting.pedal.learnt')
    default:
      return say('setting.loudness')
  }
}

/** Settings: changed by voice, taken into use from wherever they come. */
export const settingsActions = {
  openSettings: () => ({ cues: [say('setting.open')] }),
  closeSettings: () => ({ cues: [say('setting.closed')] }),
  askForPedal: () => ({ cues: [say('setting.pedal.press')] }),

  changeSetting: (context, event, { loop }) => {
    if (event.type !== 'set') return {}
    const changed = changeSetting(context.settings, event.slots, context.voices, loop.recipe)
    return 'refused' in changed
      ? {
          cues: [
            earcon('not understood'),
            say(changed.refused === 'at the end' ? 'setting.at-the-end' : 'setting.out-of-range'),
          ],
        }
      : { raise: [{ type: 'new settings', ...changed, at: event.onset }] }
  },

  learnPedal: (context, event) =>
    event.type === 'pedal pressed'
      ? {
          raise: [
            {
              type: 'new settings',
              settings: { ...context.settings, pedal: event.code },
              setting: 'pedal',
              at: event.at,
            },
          ],
        }
      : {},

  /** Logs what changed and answers in the new way. */
  useSettings: (context, event) => {
    if (event.type !== 'new settings') return {}
    const { settings, setting, at } = event
    const names = (Object.keys(settings) as SettingName[]).filter(
      (name) => JSON.stringify(settings[name]) !== JSON.stringify(context.settings[name]),
    )
    const used = { type: 'new settings', settings, at } as const
    return {
      change: { settings },
      entries: names.map((name) => ({
        kind: 'setting changed',
        at,
        setting: name,
        from: context.settings[name],
        to: settings[name],
      })),
      emit: [{ type: 'settings', settings }],
      toLoop: [used],
      toDrill: [used],
      cues: setting ? [settingCue(settings, setting)] : [],
    }
  },
} satisfies Record<string, BarAction>
