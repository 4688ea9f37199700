import { describe, expect, it } from 'vitest'
import { readLanguage } from '../../../src/speaking/render/readLanguage.ts'
import { driveBar } from './driveBar.ts'

const anHour = 3600

describe('an answer has no time limit', () => {
  const open = () => driveBar().say('open shift')

  it.each([
    ['a yes', () => open().say('end shift'), 'confirming'],
    ['a setting', () => open().say('settings'), 'setting'],
    ['a pedal', () => open().say('settings').say('learn pedal'), 'learning'],
  ] as const)('%s is waited for, be it an hour', (_, ask, asking) => {
    const bar = ask()
    bar.cues.splice(0)
    bar.wait(anHour)
    expect(bar.situation.asking).toBe(asking)
    expect(bar.cues).toEqual([])
  })

  it('a step of a drill waits, be it an hour', () => {
    const bar = open().say('drill', { number: 1 })
    bar.cues.splice(0)
    bar.wait(anHour)
    expect(bar.cues).toEqual([])
    bar.say('status')
    expect(bar.said()).toContain('drill.fast-shot.1.say')
  })
})

describe('by ear', () => {
  it('a pedal is taught by voice and taken back by voice', () => {
    const bar = driveBar().say('settings').say('learn pedal')
    expect(bar.said()).toContain('setting.pedal.press')
    bar.say('no')
    expect(bar.said()).toEqual(['talk.cancelled'])
    bar.say('settings').say('learn pedal')
    bar.bar.send({ type: 'pedal pressed', code: 'F14', at: bar.now })
    expect(bar.said()).toContain('setting.pedal.learnt')
    expect(bar.entries('setting changed')).toMatchObject([{ setting: 'pedal', to: 'F14' }])
  })

  it.each([
    'trouble.no-microphone',
    'trouble.refused',
    'trouble.in-use',
    'trouble.unplugged',
    'trouble.model-missing',
    'trouble.model-broken',
    'trouble.worker-died',
  ] as const)('lost ears are told by a sound and a sentence: %s', (sentence) => {
    const bar = driveBar({ prompts: 'warnings', screenReader: true }).say('open shift')
    bar.cues.splice(0)
    bar.bar.send({ type: 'hearing lost', sentence })
    expect(bar.cues).toMatchObject([
      { kind: 'earcon', earcon: 'trouble' },
      // a warning is spoken whatever the settings leave to the screen
      { kind: 'say', sentence, priority: 'warning' },
    ])
    expect(readLanguage('en').sentences[sentence]).toBeDefined()
    bar.cues.splice(0)
    bar.bar.send({ type: 'hearing back' })
    expect(bar.said()).toEqual(['talk.resumed'])
  })

  it('what was said is said again, slower, or letter by letter and digit by digit', () => {
    const bar = driveBar().say('open shift')
    bar.cues.splice(0)
    bar.say('repeat', { slower: false }).say('repeat', { slower: true }).say('spell')
    expect(bar.cues).toEqual([
      { kind: 'again', slower: false, spelled: false },
      { kind: 'again', slower: true, spelled: false },
      { kind: 'again', slower: true, spelled: true },
    ])
  })

  it('numbers are read digit by digit on request', () => {
    const bar = driveBar().say('settings').say('set', { setting: 'digits', value: true })
    expect(bar.said()).toContain('setting.digits.on')
    expect(bar.bar.getSnapshot().context.settings.digits).toBe(true)
  })
})
