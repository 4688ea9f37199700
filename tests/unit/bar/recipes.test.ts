import { describe, expect, it } from 'vitest'
import { checkRecipe, standardRecipes } from '../../../src/coffee/index.ts'
import { driveBar } from './driveBar.ts'

describe('recipes', () => {
  it.each(['single', 'double', 'triple', 'ristretto', 'long'] as const)('has a %s to work with', (recipe) => {
    const { opens, closes } = checkRecipe(standardRecipes[recipe]).window
    const bar = driveBar().say('open shift').say('recipe', { recipe })
    bar.pull((opens + closes) / 2)
    expect(bar.entries('shot')).toMatchObject([{ recipe, windowOpens: opens, windowCloses: closes }])
    expect(bar.said()).toContain('shot.in-window')
  })

  it('asks at the first opening with which window the house works, and never again once it knows', () => {
    const bar = driveBar().say('open shift')
    expect(bar.said()).toContain('shift.window')
    bar.say('window', { opens: 25, closes: 32 })
    bar.pull(28)
    expect(bar.entries('shot')).toMatchObject([{ recipe: 'house', windowOpens: 25, windowCloses: 32 }])
    expect(bar.entries('recipe set')).toMatchObject([{ recipe: 'house', window: { opens: 25, closes: 32 } }])
    bar.wait(20).say('end shift').say('yes').say('open shift')
    expect(bar.said()).not.toContain('shift.window')
  })

  it('refuses a window that closes before it opens, and keeps what it had', () => {
    const bar = driveBar().say('open shift')
    bar.said()
    expect(bar.say('window', { opens: 32, closes: 25 }).said()).toContain('trouble.house')
    expect(bar.loop.recipe).toBe('double')
  })
})
