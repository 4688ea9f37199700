import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import sentences from '../../../grammar/en/sentences.json'
import {
  actionKinds,
  actionSentences,
  drillSentences,
  judge,
  looks,
  reasonSentences,
  standardRecipes,
  tastes,
  timeBand,
  type ShotFacts,
} from '../../../src/coffee/index.ts'
import { checkDecisionTable, everySituation } from '../../../src/coffee/checkDecisionTable.ts'
import { decisionTable, situations } from '../../../src/coffee/decisionTable.ts'
import { looks as spokenLooks, tastes as spokenTastes } from '../../../src/messages/command.ts'

const { double, triple } = standardRecipes

const plainFacts: ShotFacts = {
  seconds: 19,
  window: double.window,
  looks: ['even'],
  tastes: [],
  steadiness: 'steady',
  grind: 'settled',
  handOff: 'running',
}

const anyFacts: fc.Arbitrary<ShotFacts> = fc.record(
  {
    seconds: fc.double({ min: 1, max: 120, noNaN: true }),
    window: fc.constantFrom(double.window, triple.window, { opens: 24, closes: 32 }),
    looks: fc.uniqueArray(fc.constantFrom(...looks)),
    tastes: fc.uniqueArray(fc.constantFrom(...tastes)),
    steadiness: fc.constantFrom(...situations.steadiness),
    grind: fc.constantFrom(...situations.grind),
    beanAge: fc.integer({ min: 0, max: 100 }),
    handOff: fc.constantFrom(...situations.handOff),
  },
  { requiredKeys: ['seconds', 'window', 'looks', 'tastes', 'steadiness', 'grind', 'handOff'] },
)

describe('the decision table', () => {
  it('has exactly one answer for every situation, and no idle rule', () => {
    expect(everySituation()).toHaveLength(7 * 3 * 10 * 9 * 3 * 2 * 4 * 3)
    expect(checkDecisionTable(decisionTable)).toEqual([])
  })

  it('is found wanting without its last rule', () => {
    const problems = checkDecisionTable(decisionTable.slice(0, -1))
    expect(problems.length).toBeGreaterThan(0)
    expect(problems[0]).toMatch(/^no rule fits .*"time":"early"/)
  })

  it('is found wanting with a rule that never decides', () => {
    const idle = { ...decisionTable[0]!, when: { time: ['fast'], grind: ['mixed'] } } as const
    expect(checkDecisionTable([...decisionTable, idle])).toEqual([
      'never used: {"time":["fast"],"grind":["mixed"]}',
    ])
  })

  it('uses every action, and its sentences are all written', () => {
    expect(new Set(decisionTable.map(({ action }) => action))).toEqual(new Set(actionKinds))
    for (const key of [
      ...actionSentences,
      ...reasonSentences,
      ...drillSentences,
      'drift.slower',
      'drift.faster',
    ])
      expect(Object.keys(sentences)).toContain(key)
  })

  it('knows the same looks and tastes as are spoken', () => {
    expect(looks).toEqual(spokenLooks)
    expect(tastes).toEqual(spokenTastes)
  })
})

describe('times', () => {
  it.each([
    // common practice: a 35 s double is far too slow, a 6 s double far too fast
    [35, double.window, 'far too slow'],
    [6, double.window, 'far too fast'],
    [17, double.window, 'in window'],
    [22, double.window, 'in window'],
    [16.9, double.window, 'fast'],
    [22.1, double.window, 'slow'],
    [22, triple.window, 'fast'],
    [30, triple.window, 'in window'],
  ] as const)('%s s', (seconds, window, band) => {
    expect(timeBand(seconds, window)).toBe(band)
  })

  it.each([NaN, -3, 0, Infinity, 5000])('refuses %s s', (seconds) => {
    expect(() => judge({ ...plainFacts, seconds })).toThrow(
      /time of the shot must be from 0.1 to 600 seconds/,
    )
  })

  it('refuses beans from the future', () => {
    expect(() => judge({ ...plainFacts, beanAge: -1 })).toThrow(/age of the beans must be from 0/)
  })
})

describe('judgement', () => {
  // common practice, case by case
  it.each([
    ['a good shot', {}, 'leave', true],
    ['far too fast, within the old limit', { seconds: 11 }, 'finer', false],
    ['far too slow, within the old limit', { seconds: 29 }, 'coarser', false],
    ['a fast one', { seconds: 14 }, 'finer', true],
    ['a slow one', { seconds: 26 }, 'coarser', true],
    ['far too slow', { seconds: 35 }, 'coarser', false],
    ['far too fast', { seconds: 6 }, 'finer', false],
    ['slow, but times scatter', { seconds: 24, steadiness: 'scattered' }, 'technique', true],
    ['far too slow, though times scatter', { seconds: 40, steadiness: 'scattered' }, 'coarser', false],
    ['water broke through', { seconds: 13, looks: ['spraying'] }, 'even bed', true],
    ['no crema', { looks: ['no crema'] }, 'check beans', false],
    // very fresh beans foam more, not less
    ['no crema, roasted yesterday', { looks: ['no crema'], beanAge: 1 }, 'flush', false],
    ['choked, no crema', { seconds: 60, looks: ['choked', 'no crema'] }, 'coarser', false],
    ['no crema and slow', { seconds: 25, looks: ['no crema'] }, 'coarser', false],
    ['gushed and sprayed', { seconds: 18, looks: ['gushing', 'spraying'] }, 'even bed', false],
    ['slow and sour', { seconds: 24, tastes: ['sour'] }, 'even bed', true],
    ['fast and bitter', { seconds: 15, tastes: ['bitter'] }, 'even bed', true],
    ['sour and bitter', { tastes: ['sour', 'bitter'] }, 'even bed', true],
    ['near the fast end and sour', { seconds: 17.2, tastes: ['sour'] }, 'finer', true],
    ['near the slow end and bitter', { seconds: 21.8, tastes: ['bitter'] }, 'coarser', true],
    ['stood too long, then tasted', { tastes: ['sour'], handOff: 'expired' }, 'remake', false],
    ['old grounds in the dose', { seconds: 27, grind: 'mixed' }, 'purge', true],
    ['in time but sour', { tastes: ['sour'] }, 'more yield', true],
    ['in time but bitter', { tastes: ['bitter'] }, 'less yield', true],
    ['in time but burnt', { tastes: ['burnt'] }, 'flush', true],
    ['in time, left standing', { handOff: 'expired' }, 'remake', false],
  ] as const)('%s', (_name, facts, action, serve) => {
    expect(judge({ ...plainFacts, ...facts })).toMatchObject({ action, serve })
  })

  it('never asks for another fill or tamp when only the time is wrong and the hand is steady', () => {
    fc.assert(
      fc.property(anyFacts, (facts) => {
        const { verdict, action } = judge({
          ...facts,
          steadiness: 'steady',
          looks: facts.looks.filter((look) => look !== 'spraying' && look !== 'one side'),
          tastes: [],
        })
        if (verdict !== 'in window') expect(['technique', 'even bed']).not.toContain(action)
      }),
      { numRuns: 2000 },
    )
  })

  it('never goes coarser after a fast shot nor finer after a slow one, unless it choked', () => {
    fc.assert(
      fc.property(anyFacts, (facts) => {
        const { verdict, action } = judge(facts)
        if (verdict.endsWith('fast') && !facts.looks.includes('choked')) expect(action).not.toBe('coarser')
        if (verdict.endsWith('slow')) expect(action).not.toBe('finer')
      }),
      { numRuns: 2000 },
    )
  })

  it('keeps the grind in the middle of the window, unless it choked', () => {
    fc.assert(
      fc.property(anyFacts, (facts) => {
        const { opens, closes } = facts.window
        const { action } = judge({
          ...facts,
          seconds: (opens + closes) / 2,
          looks: facts.looks.filter((look) => look !== 'choked'),
        })
        expect(['finer', 'coarser']).not.toContain(action)
      }),
      { numRuns: 2000 },
    )
  })

  it('never serves without crema, gushing, choked, after the limit, or far out of the window', () => {
    fc.assert(
      fc.property(anyFacts, (facts) => {
        const { serve, verdict } = judge(facts)
        const unfit = ['no crema', 'gushing', 'choked'] as const
        if (
          unfit.some((look) => facts.looks.includes(look)) ||
          facts.handOff === 'expired' ||
          verdict.startsWith('far')
        )
          expect(serve).toBe(false)
      }),
      { numRuns: 2000 },
    )
  })
})
