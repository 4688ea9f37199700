import { describe, expect, it } from 'vitest'
import {
  poundsForceToNewtons,
  scoreDoses,
  scoreFastShot,
  scoreFindWindow,
  scoreSlowShot,
  scoreTamps,
  scoreTasting,
  standardRecipes,
} from '../../../src/coffee/index.ts'
import sentences from '../../../grammar/en/sentences.json'
import { chanceByGuessing } from '../../../src/coffee/drillScore.ts'

const { window } = standardRecipes.double
const pounds = (...values: number[]): number[] => values.map(poundsForceToNewtons)

describe('drills', () => {
  it('passes a fast shot that is fast and a slow one that is slow', () => {
    expect(scoreFastShot(9, window)).toMatchObject({ passed: true, score: 9, sentence: 'score.fast.passed' })
    expect(scoreFastShot(17, window)).toMatchObject({ passed: false, sentence: 'score.fast.failed' })
    expect(scoreSlowShot(35, window)).toMatchObject({ passed: true, values: { seconds: 35 } })
    expect(scoreSlowShot(22, window).passed).toBe(false)
  })

  it('counts the shots it took to find the window', () => {
    expect(scoreFindWindow([30, 26, 21], window)).toMatchObject({ passed: true, score: 3, unit: 'shots' })
    expect(scoreFindWindow([30, 26, 24], window)).toMatchObject({
      passed: false,
      values: { shots: 3, most: 6 },
    })
    expect(scoreFindWindow([30, 26, 21], window, 2).passed).toBe(false)
  })

  it('tells a light hand from a heavy and an uneven one', () => {
    expect(scoreTamps(pounds(39, 41, 40))).toMatchObject({
      passed: true,
      sentence: 'score.tamp.passed',
      values: { mean: 40, spread: 1, target: 40 },
    })
    expect(scoreTamps(pounds(30, 31, 29)).sentence).toBe('score.tamp.light')
    expect(scoreTamps(pounds(50, 51, 49)).sentence).toBe('score.tamp.heavy')
    expect(scoreTamps(pounds(30, 50, 40)).sentence).toBe('score.tamp.uneven')
    expect(scoreTamps(pounds(39, 41, 40)).score).toBeGreaterThan(scoreTamps(pounds(36, 44, 40)).score)
  })

  it('scores doses the same way', () => {
    expect(scoreDoses([18, 18.1, 17.9], 18)).toMatchObject({
      passed: true,
      values: { mean: 18, spread: 0.1 },
    })
    expect(scoreDoses([17, 17.1, 16.9], 18).sentence).toBe('score.dose.light')
    expect(scoreDoses([19, 19.1, 18.9], 18).sentence).toBe('score.dose.heavy')
    expect(scoreDoses([17, 19, 18], 18).sentence).toBe('score.dose.uneven')
  })

  it('asks more of a tasting than guessing gives', () => {
    // binomial distribution, even chance: P(4 of 4) = 1/16, P(5 or more of 6) = 7/64, P(3 of 3) = 1/8
    expect(chanceByGuessing(4, 4)).toBe(1 / 16)
    expect(chanceByGuessing(5, 6)).toBe(7 / 64)
    expect(chanceByGuessing(0, 6)).toBe(1)
    expect(scoreTasting(4, 4).passed).toBe(true)
    expect(scoreTasting(3, 3).passed).toBe(false)
    expect(scoreTasting(5, 6).passed).toBe(false)
    expect(scoreTasting(6, 6)).toMatchObject({ passed: true, score: 100 })
  })

  it('fills every placeholder of its sentences', () => {
    const texts: Readonly<Record<string, unknown>> = sentences
    const scores = [
      scoreFastShot(9, window),
      scoreFastShot(19, window),
      scoreSlowShot(35, window),
      scoreSlowShot(19, window),
      scoreFindWindow([19], window),
      scoreFindWindow([9], window),
      ...[
        [40, 40, 40],
        [30, 30, 30],
        [50, 50, 50],
        [30, 50, 40],
      ].map((series) => scoreTamps(pounds(...series))),
      ...[
        [18, 18, 18],
        [16, 16, 16],
        [20, 20, 20],
        [17, 19, 18],
      ].map((series) => scoreDoses(series, 18)),
      scoreTasting(4, 4),
      scoreTasting(1, 4),
    ]
    for (const { sentence, values } of scores)
      for (const [, name] of String(texts[sentence]).matchAll(/\{(\w+)\}/g))
        expect(Object.keys(values)).toContain(name)
  })

  it.each([
    [() => scoreTamps(pounds(40, 40)), 'number of tamps must be from 3 to Infinity, not 2'],
    [() => scoreTamps([178, NaN, 178]), 'tamp must be from 0 to 1000 newtons, not NaN'],
    [() => scoreFindWindow([], window), 'number of shots must be from 1 to 1000'],
    [() => scoreTasting(5, 4), 'number right must be from 0 to 4'],
    [() => scoreFastShot(-1, window), 'time of the shot must be from 0.1 to 600 seconds, not -1'],
  ])('names what is wrong', (run, words) => {
    expect(run).toThrow(words)
  })
})
