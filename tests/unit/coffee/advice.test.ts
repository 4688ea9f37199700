import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  advise,
  beginBelief,
  beliefPicture,
  carryOver,
  doseFor,
  judge,
  looks,
  nextStep,
  observeShot,
  outlook,
  standardRecipes,
  steadiness,
  tastes,
  type Advice,
  type AdviceOptions,
  type GrinderBelief,
} from '../../../src/coffee/index.ts'
import { standardModel } from '../../../src/coffee/grinderModel.ts'

const { double } = standardRecipes
const { window } = double

const after = (times: readonly (readonly [seconds: number, notch: number])[], between = 120): GrinderBelief =>
  times.reduce<GrinderBelief>(
    (belief, [seconds, notch], index) =>
      observeShot(belief, { seconds, notch, at: between * (index + 1), purged: true }),
    beginBelief(0),
  )

const at = (notch: number, more: Partial<AdviceOptions> = {}): AdviceOptions => ({
  at: 10_000,
  notch,
  largerMoves: false,
  ...more,
})

/** A history of shots around a few settings, as a bar makes it. */
const histories = fc.array(
  fc.tuple(fc.double({ min: 4, max: 90, noNaN: true }), fc.integer({ min: 5, max: 15 })),
  { minLength: 1, maxLength: 12 },
)

describe('advice', () => {
  it('says nothing before the first shot', () => {
    expect(advise(beginBelief(0), double, at(10))).toMatchObject({
      notches: 0,
      sentence: 'action.leave',
      reason: 'reason.first-shot',
      needsPurge: false,
    })
  })

  it('goes as far as is best until a shot has landed', () => {
    const slow = advise(after([[35, 10]]), double, at(10))
    expect(slow).toMatchObject({
      action: 'coarser',
      sentence: 'action.coarser.more',
      reason: 'reason.likely-slow',
      needsPurge: true,
    })
    expect(slow.notches).toBeLessThan(-2)
    expect(advise(after([[8, 10]]), double, at(10))).toMatchObject({
      action: 'finer',
      sentence: 'action.finer.more',
      reason: 'reason.likely-fast',
    })
  })

  it('then goes one notch at a time, until a new day or bag', () => {
    const landed = [19, 19.4, 19.2].map((seconds) => [seconds, 10] as const)
    const lost = [...landed, [31, 10], [30, 10], [32, 10]] as const
    expect(advise(after(lost), double, at(10))).toMatchObject({
      notches: -1,
      sentence: 'action.coarser.one',
    })
    expect(advise(after(lost), double, at(10, { largerMoves: true })).notches).toBeLessThan(-1)
    const nextDay = carryOver(after(lost), 'new day', 50_000)
    const first = observeShot(nextDay, { seconds: 31, notch: 10, at: 50_060, purged: true })
    expect(advise(first, double, at(10, { at: 50_100 })).notches).toBeLessThan(-1)
  })

  it('goes further when larger moves are allowed', () => {
    const advice = advise(after([[40, 10]]), double, at(10, { largerMoves: true }))
    expect(advice.notches).toBeLessThan(-2)
    expect(advice.sentence).toBe('action.coarser.more')
    expect(advice.values.notches).toBe(-advice.notches)
  })

  it('leaves a good setting, and a lone miss at one', () => {
    const good = [19, 19.5, 18.8, 19.2, 19.4].map((seconds) => [seconds, 10] as const)
    const soon = at(10, { at: 1000 })
    expect(advise(after(good), double, soon)).toMatchObject({ notches: 0, reason: 'reason.chance-good' })
    expect(advise(after([...good, [22.6, 10]]), double, soon).notches).toBe(0)
    expect(advise(after([...good, [11, 10]]), double, soon)).toMatchObject({
      notches: 0,
      reason: 'reason.fault-likely',
    })
  })

  it('weighs what a move gains over the next shots against what it costs the shop', () => {
    const high = after([21, 20.9, 21.1, 21, 20.9, 21].map((seconds) => [seconds, 10] as const))
    const options = at(10, { at: 800 })
    const lower = outlook(high, double, options, -1)
    const cheap = advise(high, double, { ...options, prices: { move: 1, miss: 18 } })
    expect(lower.chance.inWindow).toBeGreaterThan(cheap.asItStands.chance.inWindow)
    expect(cheap.notches).toBe(-1)
    expect(advise(high, double, { ...options, prices: { move: 60, miss: 18 } }).notches).toBe(0)
    expect(() => advise(high, double, { ...options, prices: { move: -1, miss: 18 } })).toThrow(
      'price of a move must be from 0',
    )
  })

  it('moves on even while it knows so little that every chance is small', () => {
    const advice = advise(after([[90, 10]]), double, at(10, { largerMoves: true }))
    expect(advice.outlook.chance.inWindow).toBeLessThan(0.4)
    expect(advice.notches).toBeLessThan(-4)
    const unsure = beginBelief(0, { ...standardModel, slope: { mean: 0.12, deviation: 0.12 } })
    const first = observeShot(unsure, { seconds: 170, notch: 10, at: 60, purged: true })
    expect(advise(first, double, at(10)).notches).toBeLessThan(-1)
  })

  it('moves before the window is lost when shots creep to its edge', () => {
    // from 19 s towards the edge over a morning, still inside it
    const creep = Array.from({ length: 24 }, (_, index) => [19 + 0.12 * index, 10] as const)
    const advice = advise(after(creep, 400), double, at(10))
    expect(creep.at(-1)![0]).toBeLessThan(window.closes)
    expect(advice.notches).toBe(-1)
    expect(['reason.drifted-slower', 'reason.near-slow', 'reason.likely-slow']).toContain(advice.reason)
  })

  it('knows the ends of the grinder', () => {
    const options = at(1, { notchRange: { lowest: 1, highest: 30 } })
    expect(advise(after([[35, 1]]), double, options)).toMatchObject({
      notches: 0,
      reason: 'reason.end-of-range',
    })
    const near = at(3, { largerMoves: true, notchRange: { lowest: 1, highest: 30 } })
    expect(advise(after([[60, 3]]), double, near).notches).toBeGreaterThanOrEqual(-2)
  })

  it('wants a purge while the grinder holds another setting', () => {
    const belief = after([17.6, 17.4, 17.5].map((seconds) => [seconds, 10] as const))
    expect(advise(belief, double, at(11))).toMatchObject({ notches: 0, needsPurge: true })
    expect(advise(belief, double, at(10)).needsPurge).toBe(advise(belief, double, at(10)).notches !== 0)
  })

  it('keeps its chances and intervals in order, and its numbers whole', () => {
    fc.assert(
      fc.property(histories, fc.boolean(), (times, largerMoves) => {
        const notch = times.at(-1)![1]
        const advice = advise(after(times), double, at(notch, { largerMoves }))
        const { chance, seconds } = advice.outlook
        expect(chance.fast + chance.inWindow + chance.slow).toBeCloseTo(1, 9)
        for (const part of Object.values(chance)) expect(part).toBeGreaterThanOrEqual(-1e-12)
        expect(seconds.low).toBeLessThan(seconds.mean)
        expect(seconds.mean).toBeLessThan(seconds.high)
        expect(advice.shotsToWindow).toBeGreaterThanOrEqual(1)
        for (const value of Object.values(advice.values)) expect(Number.isInteger(value)).toBe(true)
        expect(Math.abs(advice.notches)).toBeLessThanOrEqual(10)
      }),
      { numRuns: 60 },
    )
  })

  it('expects slower shots the finer the grind', () => {
    fc.assert(
      fc.property(histories, (times) => {
        const belief = after(times)
        const notch = times.at(-1)![1]
        const means = [-2, -1, 0, 1, 2].map((move) => outlook(belief, double, at(notch), move).seconds.mean)
        for (const [index, mean] of means.slice(1).entries())
          expect(mean).toBeGreaterThan(means[index]! - 0.05)
      }),
      { numRuns: 30 },
    )
  })

  it('refuses a window, a notch and a time that cannot be', () => {
    const belief = after([[19, 10]])
    expect(() => advise(belief, { ...double, window: { opens: 22, closes: 17 } }, at(10))).toThrow(
      'window closes',
    )
    expect(() => advise(belief, double, at(NaN))).toThrow('notch must be from')
    expect(() => advise(belief, double, at(40, { notchRange: { lowest: 1, highest: 30 } }))).toThrow(
      'notch must be from 1 to 30, not 40',
    )
    expect(() => advise(belief, double, { ...at(10), at: 1 })).toThrow('in order')
  })
})

describe('the picture of what is believed', () => {
  it('has a band for each notch that widens away from what was seen, the shots, and the move', () => {
    const belief = after([35, 34.5, 35.2].map((seconds) => [seconds, 10] as const))
    const advice = advise(belief, double, at(10, { at: 500 }))
    const picture = beliefPicture(belief, double, advice, { at: 500, notch: 10 })
    expect(picture).toMatchObject({ window, from: 10, to: 10 + advice.notches })
    expect(picture.shots.map(({ seconds }) => seconds)).toEqual([35, 34.5, 35.2])
    const width = (notch: number): number => {
      const { seconds } = picture.curve.find((place) => place.notch === notch)!.outlook
      return Math.log(seconds.high / seconds.low)
    }
    expect(width(10 + advice.notches)).toBeGreaterThan(width(10))
    const there = picture.curve.find(({ notch }) => notch === picture.to)!.outlook
    expect(there.chance.inWindow).toBeCloseTo(advice.outlook.chance.inWindow, 9)
    const times = picture.curve.map(({ outlook: { seconds } }) => seconds.mean)
    expect([...times].sort((a, b) => a - b)).toEqual(times)
  })
})

describe('several recipes and hands on one grinder', () => {
  const { triple } = standardRecipes
  /** doubles of `seconds` and, now and then, triples of others, at one notch */
  const mixed = (doubles: number, triples: number, hands: readonly number[] = []): GrinderBelief => {
    let belief = beginBelief(0)
    for (let index = 0; index < 20; index += 1) {
      const recipe = index % 4 === 3 ? triple : double
      const person = hands[index % hands.length]
      belief = observeShot(belief, {
        seconds: (index % 4 === 3 ? triples : doubles) * (1 + 0.01 * (index % 3)),
        notch: 10,
        at: 100 * (index + 1),
        purged: true,
        recipe,
        ...(person !== undefined && { person }),
      })
    }
    return belief
  }
  const now = at(10, { at: 2100 })

  it('leaves a notch that suits most orders, and names the dose for the rest', () => {
    // doubles in the middle; the triple runs a third too slow
    const advice = advise(mixed(19.2, 33), double, now)
    expect(advice.notches).toBe(0)
    const grams = doseFor(mixed(19.2, 33), triple, { at: 2100, notch: 10 })!
    expect(grams).toBeLessThan(22)
    expect(grams).toBeGreaterThanOrEqual(19.5)
    expect((2 * grams) % 1).toBe(0)
    expect(doseFor(mixed(19.2, 33), double, { at: 2100, notch: 10 })).toBeNull()
    // the same advice, whichever size was just pulled
    expect(advise(mixed(19.2, 33), triple, now).notches).toBe(0)
  })

  it('names no dose while every recipe lands, and none that a basket does not allow', () => {
    expect(doseFor(mixed(19.2, 27.3), triple, { at: 2100, notch: 10 })).toBeNull()
    expect(doseFor(mixed(19.2, 60), triple, { at: 2100, notch: 10 })).toBeNull()
  })

  it('goes by the orders that it is given', () => {
    const belief = mixed(19.2, 35)
    const onlyTriples = advise(belief, triple, { ...now, orders: [{ recipe: triple, share: 1 }] })
    expect(onlyTriples.notches).toBeLessThan(0)
  })

  it('learns how two hands differ, and foretells each', () => {
    let belief = beginBelief(0)
    for (let index = 0; index < 24; index += 1)
      belief = observeShot(belief, {
        seconds: (index % 2 === 0 ? 18 : 20.5) * (1 + 0.01 * (index % 3)),
        notch: 10,
        at: 100 * (index + 1),
        purged: true,
        recipe: double,
        person: 1 + (index % 2),
      })
    const by = (person: number): number =>
      outlook(belief, double, at(10, { at: 2500, person }), 0).seconds.mean
    expect(by(2) / by(1)).toBeGreaterThan(1.07)
    expect(by(2) / by(1)).toBeLessThan(1.15)
    // each agrees with itself: the difference is not taken for scatter
    expect(steadiness(belief)).toBe('steady')
  })

  it('does not take a shot that was let run longer for a drift', () => {
    let belief = beginBelief(0)
    for (let index = 0; index < 20; index += 1) {
      const longer = index < 10 ? 1 : 1.12
      belief = observeShot(belief, {
        seconds: 20 * longer,
        notch: 10,
        at: 100 * (index + 1),
        purged: true,
        recipe: double,
        yield: { grams: 40 * longer, recipeGrams: 40 },
      })
    }
    expect(advise(belief, double, now).notches).toBe(0)
    expect(outlook(belief, double, now, 0).seconds.mean).toBeLessThan(20.6)
  })

  it('adds the scatter of the next dose where doses were told', () => {
    const spread = (grams: readonly number[]): number => {
      const belief = grams.reduce<GrinderBelief>(
        (known, dose, index) =>
          observeShot(known, {
            seconds: 19.3 * (dose / 18) ** 2.5,
            notch: 10,
            at: 100 * (index + 1),
            purged: true,
            dose: { grams: dose, recipeGrams: 18 },
          }),
        beginBelief(0),
      )
      const { seconds } = outlook(belief, double, at(10, { at: 100 * grams.length + 100 }), 0)
      return Math.log(seconds.high / seconds.low)
    }
    const even = Array.from({ length: 24 }, () => 18)
    const uneven = Array.from({ length: 24 }, (_, index) => 18 + [-0.6, 0.5, 0.1, -0.4, 0.6][index % 5]!)
    // 2.5 x 0.5 / 18 is 7 %: an interval of 90 % is wider by far
    expect(spread(uneven)).toBeGreaterThan(spread(even) + 0.08)
  })

  it('hardly learns from a shot through a cold group', () => {
    const day = after([19, 19.4, 18.8, 19.2, 19.1, 19.3].map((seconds) => [seconds, 10] as const))
    const morning = carryOver(day, 'new day', 60_000)
    const level = (belief: GrinderBelief): number =>
      outlook(belief, double, at(10, { at: 60_100 }), 0).seconds.mean
    const cold = { seconds: 21.2, notch: 10, at: 60_060, purged: true }
    const after10Percent = observeShot(morning, { ...cold, idle: 12 * 3600 })
    expect(Math.abs(level(after10Percent) / level(morning) - 1)).toBeLessThan(0.012)
    expect(level(observeShot(morning, { ...cold, idle: 60 })) / level(morning)).toBeGreaterThan(1.03)
  })
})

describe('the next step', () => {
  const judged = (seconds: number, more = {}) =>
    judge({
      seconds,
      window,
      looks: [],
      tastes: [],
      steadiness: 'steady',
      grind: 'settled',
      handOff: 'running',
      ...more,
    })
  const good: Advice = advise(
    after([19, 19.5, 18.8, 19.2].map((seconds) => [seconds, 10] as const)),
    double,
    at(10, { at: 700 }),
  )

  it('takes the adviser at its word on the grind', () => {
    expect(nextStep(judged(35), advise(after([[35, 10]]), double, at(10)))).toMatchObject({
      action: 'coarser',
      reason: 'reason.far-too-slow',
      serve: false,
    })
    // a lone miss that is likely noise
    expect(nextStep(judged(22.3), good)).toMatchObject({
      action: 'leave',
      notches: 0,
      reason: 'reason.chance-good',
    })
  })

  it('puts technique, beans and taste before the grind', () => {
    const coarser = advise(after([[35, 10]]), double, at(10))
    expect(nextStep(judged(35, { looks: ['spraying'] }), coarser)).toMatchObject({
      action: 'even bed',
      notches: 0,
    })
    expect(nextStep(judged(19, { looks: ['no crema'] }), good)).toMatchObject({
      action: 'check beans',
      serve: false,
    })
    expect(nextStep(judged(19, { tastes: ['bitter'] }), good)).toMatchObject({
      action: 'less yield',
      notches: 0,
    })
  })

  it('is the same move as the adviser gives when it knows the judgement, whatever was seen or tasted', () => {
    fc.assert(
      fc.property(
        histories,
        fc.boolean(),
        fc.subarray([...looks]),
        fc.subarray([...tastes]),
        fc.constantFrom('steady', 'scattered', 'unknown'),
        (times, largerMoves, seen, tasted, steady) => {
          const [seconds, notch] = times.at(-1)!
          const judgement = judged(seconds, { looks: seen, tastes: tasted, steadiness: steady })
          const belief = after(times)
          const options = at(notch, { largerMoves })
          const told = advise(belief, double, { ...options, judgement })
          expect(nextStep(judgement, told).notches).toBe(told.notches)
          expect(nextStep(judgement, advise(belief, double, options)).notches).toBe(told.notches)
        },
      ),
      { numRuns: 60 },
    )
  })

  it('moves the grind and minds the hand when times jump about on one side', () => {
    const belief = after([33, 26, 36, 28, 35, 27, 34].map((seconds) => [seconds, 10] as const))
    const judgement = judged(34, { steadiness: 'scattered' })
    const step = nextStep(
      { ...judgement, action: 'technique' },
      advise(belief, double, at(10, { judgement: { action: 'technique' } })),
    )
    expect(step.notches).toBeLessThan(0)
    expect(step.reason).toBe('reason.scattered-slow')
  })

  it('never goes coarser after a too-fast shot nor finer after a too-slow one', () => {
    fc.assert(
      fc.property(histories, fc.boolean(), (times, largerMoves) => {
        const [seconds, notch] = times.at(-1)!
        const advice = advise(after(times), double, at(notch, { largerMoves }))
        const step = nextStep(judged(seconds), advice)
        if (seconds < window.opens) expect(step.notches).toBeGreaterThanOrEqual(0)
        if (seconds > window.closes) expect(step.notches).toBeLessThanOrEqual(0)
        expect(step.action === 'leave').toBe(step.notches === 0)
      }),
      { numRuns: 120 },
    )
  })
})
