import { describe, expect, it } from 'vitest'
import { bundledDrills } from '../../../grammar/bundledDrills.ts'
import { defaultSettings, readSaved, resumeBar, saveBar } from '../../../src/bar/index.ts'
import { driveBar } from './driveBar.ts'

const drills = await bundledDrills('en')
const input = { settings: defaultSettings, voices: 2, drills, now: 1000 }

describe('a stored state', () => {
  it('holds no drills, voices or other things that come with the program', () => {
    const bar = driveBar().say('open shift').say('drill', { number: 2 })
    const text = JSON.stringify(saveBar(bar.bar, bar.now))
    expect(text).not.toContain('"steps"')
    expect(text).not.toContain('"voices"')
  })

  it('meets the drills of a newer program', () => {
    const bar = driveBar({}, { drills: drills.slice(0, 2) })
      .say('open shift')
      .reload(5, { drills })
    bar.say('drill', { number: 5 })
    expect(bar.said()).toContain('drill.began')
  })

  it('goes on with the drill that is being done as it is now, and leaves one that is gone', () => {
    const bar = driveBar().say('open shift').say('drill', { number: 2 }).reload(5)
    expect(bar.situation.drill).toContain('drill')
    bar.reload(5, { drills: drills.slice(0, 1) })
    expect(bar.situation.drill).toBeUndefined()
    expect(bar.place).toBe('grind')
    expect(bar.pull(20).entries('shot')).toHaveLength(1)
  })

  it('has every setting of a newer program, and keeps what was set', () => {
    const bar = driveBar({ handOffLimit: 15 }).say('open shift')
    const saved = JSON.parse(JSON.stringify(saveBar(bar.bar, bar.now))) as {
      bar: { context: { settings: Record<string, unknown> } }
    }
    delete saved.bar.context.settings.keys
    saved.bar.context.settings.look = 'a look that is no more'
    const restored = resumeBar(input, readSaved(saved)).bar.start()
    const settings = { ...defaultSettings, prompts: 'short', handOffLimit: 15 }
    expect(restored.getSnapshot().context.settings).toEqual(settings)
    expect(restored.getSnapshot().children.loop?.getSnapshot().context.settings).toEqual(settings)
  })

  it('of the first version is read: its clocks run on', () => {
    const bar = driveBar().say('open shift').pull(20).wait(2)
    const saved = JSON.parse(JSON.stringify(saveBar(bar.bar, bar.now))) as {
      version: number
      bar: { context: { waiting: unknown[] } }
    }
    saved.version = 1
    saved.bar.context.waiting = saved.bar.context.waiting.map((clock) => ({ clock, ref: {} }))
    const { bar: restored, isRestored } = resumeBar(input, readSaved(saved))
    expect(isRestored).toBe(true)
    restored.start()
    expect(restored.getSnapshot().context.waiting).toMatchObject([{ voice: 1, limit: 10 }])
  })

  it('of a newer program, or damaged, is not used', () => {
    const bar = driveBar().say('open shift')
    const saved = saveBar(bar.bar, bar.now)
    expect(resumeBar(input, { ...saved, version: 99 }).isRestored).toBe(false)
    expect(readSaved('nonsense')).toBeNull()
  })
})
