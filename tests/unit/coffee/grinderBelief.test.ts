import { inverse, Matrix, solve } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import {
  beginBelief,
  carryOver,
  observePurge,
  observeShot,
  scatterOf,
  standardRecipes,
  steadiness,
  summarise,
  type GrinderBelief,
  type ObservedShot,
  type Recipe,
} from '../../../src/coffee/index.ts'
import { groundsAt, pushOut, settingOf, turnTo } from '../../../src/coffee/grounds.ts'
import { foretell } from '../../../src/coffee/foretell.ts'
import { standardModel, type GrinderModel } from '../../../src/coffee/grinderModel.ts'
import { mixtureBelow, mixtureQuantile } from '../../../src/coffee/normal.ts'
import { randomFrom, type Random } from '../../../src/coffee/random.ts'

/** The model without freaks and jumps, with one known scatter and a grinder without play or hold-up: linear and Gaussian. */
const linearModel: GrinderModel = {
  ...standardModel,
  slopeFloor: -10,
  memory: 1,
  scatters: [{ scatter: 0.06, weight: 1 }],
  builds: [{ play: 0, holdUp: 0, weight: 1 }],
  fast: { ...standardModel.fast, chance: 0 },
  slow: { ...standardModel.slow, chance: 0 },
  jump: { chance: 0, chanceAfterMove: 0, deviation: 0 },
}

const plainShot = (seconds: number, notch: number, at: number): ObservedShot => ({
  seconds,
  notch,
  at,
  purged: true,
})

describe('the filter', () => {
  it('gives what solving for all unknowns at once gives', () => {
    const { double, triple } = standardRecipes
    const random = randomFrom(3)
    const shots = Array.from({ length: 25 }, (_, index) => ({
      seconds: 20 * Math.exp(0.2 * random.normal()),
      notch: 8 + Math.floor(5 * random.uniform()),
      at: 300 * index + 100 * random.uniform(),
      purged: true,
      recipe: index % 3 === 1 ? triple : double,
      person: 1 + (index % 2),
      dose: { grams: 18 + random.normal(), recipeGrams: 18 },
      yield: { grams: 40 + 3 * random.normal(), recipeGrams: 40 },
      air: { temperature: 22 + random.normal(), humidity: 55 + 3 * random.normal() },
    }))
    const belief = shots.reduce<GrinderBelief>(
      (known, shot) => observeShot(known, shot, linearModel),
      beginBelief(0, linearModel),
    )

    // unknowns: those that stay as they are, then drift and rate at each shot
    const middle = ({ window }: Recipe): number => Math.log(window.opens * window.closes) / 2
    const hand = { mean: 0, deviation: linearModel.hand.deviation }
    const constants = [
      { name: 'level', prior: linearModel.level },
      { name: 'slope', prior: linearModel.slope },
      { name: 'heat', prior: linearModel.heat },
      { name: 'recipe triple', prior: { mean: middle(triple) - middle(double), ...linearModel.recipe } },
      { name: 'hand 1', prior: hand },
      { name: 'hand 2', prior: hand },
      { name: 'dose', prior: linearModel.dose },
      { name: 'yield', prior: linearModel.yield },
      { name: 'temperature', prior: linearModel.temperature },
      { name: 'humidity', prior: linearModel.humidity },
    ]
    const fixed = constants.length
    const size = fixed + 2 * shots.length
    const drift = (index: number): number => fixed + 2 * index
    const rate = (index: number): number => fixed + 2 * index + 1
    const information = Matrix.zeros(size, size)
    const right = Matrix.zeros(size, 1)
    const add = (entries: readonly (readonly [number, number])[], value: number, variance: number): void => {
      for (const [i, a] of entries) {
        right.set(i, 0, right.get(i, 0) + (a * value) / variance)
        for (const [j, b] of entries) information.set(i, j, information.get(i, j) + (a * b) / variance)
      }
    }
    constants.forEach(({ prior }, index) => add([[index, 1]], prior.mean, prior.deviation ** 2))
    const { rate: wander } = linearModel
    let warmth = 0
    shots.forEach((shot, index) => {
      const before = shots[index - 1]
      const hours = (shot.at - (before?.at ?? 0)) / 3600
      const moved = before ? shot.notch - before.notch : 0
      warmth *= Math.exp((-3600 * hours) / linearModel.coolingTime)
      // the drift starts at 0 when the day begins, with a rate of the prior's spread
      const keep = Math.exp(-hours / wander.hours)
      const driftNoise = linearModel.driftPerRootHour ** 2 * hours + (linearModel.movePerNotch * moved) ** 2
      const rateNoise = wander.deviation ** 2 * (1 - keep ** 2)
      if (index === 0) {
        // rate at the start is one more unknown: here it is taken out by hand, rate = keep x start + noise
        const startVariance = wander.deviation ** 2
        const driftVariance = hours ** 2 * startVariance + driftNoise
        const rateVariance = keep ** 2 * startVariance + rateNoise
        const both = hours * keep * startVariance
        const joint = inverse(
          new Matrix([
            [driftVariance, both],
            [both, rateVariance],
          ]),
        )
        const places = [drift(0), rate(0)]
        places.forEach((i, row) =>
          places.forEach((j, column) =>
            information.set(i, j, information.get(i, j) + joint.get(row, column)),
          ),
        )
      } else {
        add(
          [
            [drift(index), 1],
            [drift(index - 1), -1],
            [rate(index - 1), -hours],
          ],
          0,
          driftNoise,
        )
        add(
          [
            [rate(index), 1],
            [rate(index - 1), -keep],
          ],
          0,
          rateNoise,
        )
      }
      add(
        [
          [0, 1],
          [1, shot.notch - shots[0]!.notch],
          [2, warmth / 10],
          [3, shot.recipe === triple ? 1 : 0],
          [3 + shot.person, 1],
          [6, Math.log(shot.dose.grams / 18)],
          [7, Math.log(shot.yield.grams / 40)],
          [8, shot.air.temperature - 20],
          [9, shot.air.humidity - 50],
          [drift(index), 1],
        ],
        Math.log(shot.seconds),
        0.06 ** 2,
      )
      warmth += 1
    })
    const answer = solve(information, right).to1DArray()
    const covariance = solve(information, Matrix.eye(size))
    const last = shots.length - 1
    const placeOf = (name: string): number =>
      name === 'drift'
        ? drift(last)
        : name === 'rate'
          ? rate(last)
          : constants.findIndex((each) => each.name === name)
    const { state } = belief.bank[0]!
    expect([...belief.effects].sort()).toEqual([...constants.map(({ name }) => name), 'drift', 'rate'].sort())
    belief.effects.forEach((name, i) => {
      expect(state.mean[i]).toBeCloseTo(answer[placeOf(name)]!, 9)
      belief.effects.forEach((other, j) =>
        expect(state.covariance[i * belief.effects.length + j]).toBeCloseTo(
          covariance.get(placeOf(name), placeOf(other)),
          9,
        ),
      )
    })
  })

  it('weighs each possible scatter as its own filter foretold the shots', () => {
    const model: GrinderModel = { ...linearModel, scatters: standardModel.scatters }
    const random = randomFrom(8)
    const shots = Array.from({ length: 12 }, (_, index) =>
      plainShot(20 * Math.exp(0.1 * random.normal()), 5, 60 * index),
    )
    const whole = shots.reduce((known, shot) => observeShot(known, shot, model), beginBelief(0, model))
    const evidence = model.scatters.map(({ scatter, weight }) => {
      const alone: GrinderModel = { ...model, scatters: [{ scatter, weight: 1 }] }
      let belief = beginBelief(0, alone)
      let density = weight
      for (const shot of shots) {
        const [part] = foretell(belief, shot, alone)
        const distance = (Math.log(shot.seconds) - part!.mean) / part!.deviation
        density *= Math.exp((-distance * distance) / 2) / part!.deviation
        belief = observeShot(belief, shot, alone)
      }
      return density
    })
    const total = evidence.reduce((sum, value) => sum + value, 0)
    evidence.forEach((value, index) => expect(whole.bank[index]!.weight).toBeCloseTo(value / total, 10))
  })

  it('has intervals that hold what they say', () => {
    const { inside, shots, chanceSum, hits } = calibrate(60, 40)
    // the standard error of a share of 2400 shots is 0.6 %; shots of one morning go together a little
    expect(Math.abs(inside / shots - 0.9)).toBeLessThan(0.02)
    expect(Math.abs(hits - chanceSum) / shots).toBeLessThan(0.02)
  })
})

/** Grinders drawn from the model itself, freaks and jumps and all, moved about at random. */
function calibrate(grinders: number, shotsEach: number) {
  let inside = 0
  let chanceSum = 0
  let hits = 0
  for (let grinder = 0; grinder < grinders; grinder += 1) {
    const random = randomFrom(1000 + grinder)
    const truth = drawGrinder(random)
    let belief = beginBelief(0)
    let at = 0
    let notch = 10
    for (let index = 0; index < shotsEach; index += 1) {
      at += 60 + 300 * random.uniform()
      if (random.uniform() < 0.2) notch += Math.round(2 * random.normal())
      const logTime = Math.min(Math.max(truth(at, notch), Math.log(1.01)), Math.log(179))
      const parts = foretell(belief, { at, notch })
      if (logTime > mixtureQuantile(parts, 0.05) && logTime < mixtureQuantile(parts, 0.95)) inside += 1
      const [opens, closes] = [Math.log(17), Math.log(22)]
      chanceSum += mixtureBelow(parts, closes) - mixtureBelow(parts, opens)
      if (logTime > opens && logTime < closes) hits += 1
      belief = observeShot(belief, plainShot(Math.exp(logTime), notch, at))
    }
  }
  return { inside, chanceSum, hits, shots: grinders * shotsEach }
}

/** One true grinder: ln(time) of a shot by its time and notch. */
function drawGrinder({ normal, uniform }: Random): (at: number, notch: number) => number {
  const draw = ({ mean, deviation }: { mean: number; deviation: number }): number =>
    mean + deviation * normal()
  const model = standardModel
  let slope = draw(model.slope)
  while (slope < model.slopeFloor) slope = draw(model.slope)
  const level = draw({ mean: model.level.mean, deviation: 0.3 })
  const heat = draw(model.heat)
  const oneOf = <T extends { weight: number }>(list: readonly T[]): T => {
    let left = uniform()
    return list.find(({ weight }) => (left -= weight) < 0) ?? list[0]!
  }
  const { scatter } = oneOf(model.scatters)
  const build = oneOf(model.builds)
  let grounds = groundsAt(10)
  let drift = 0
  let rate = model.rate.deviation * normal()
  let warmth = 0
  let last = { at: 0, notch: 10 }
  return (at, notch) => {
    const hours = (at - last.at) / 3600
    const moved = notch - last.notch
    drift += rate * hours + model.driftPerRootHour * Math.sqrt(hours) * normal()
    drift += model.movePerNotch * moved * normal()
    const keep = Math.exp(-hours / model.rate.hours)
    rate = keep * rate + model.rate.deviation * Math.sqrt(1 - keep ** 2) * normal()
    const kind = uniform()
    if (kind < (moved === 0 ? model.jump.chance : model.jump.chanceAfterMove))
      drift += model.jump.deviation * normal()
    const freak =
      kind > 1 - model.fast.chance
        ? model.fast
        : kind > 1 - model.fast.chance - model.slow.chance
          ? model.slow
          : null
    const fault = freak ? freak.shift + freak.deviation * normal() : 0
    if (moved !== 0) grounds = pushOut(turnTo(grounds, notch, build), model.purge)
    const setting = settingOf(grounds, model.ordinaryDose)
    grounds = pushOut(grounds, model.ordinaryDose)
    warmth *= Math.exp((-3600 * hours) / model.coolingTime)
    const logTime = level + slope * (setting - 10) + (heat * warmth) / 10 + drift + fault + scatter * normal()
    warmth += 1
    last = { at, notch }
    return logTime
  }
}

const pulls = (times: readonly number[], notch = 10, from = 0): ObservedShot[] =>
  times.map((seconds, index) => plainShot(seconds, notch, from + 60 * (index + 1)))

const learn = (shots: readonly ObservedShot[], start: GrinderBelief = beginBelief(0)): GrinderBelief =>
  shots.reduce((known, shot) => observeShot(known, shot), start)

const expected = (belief: GrinderBelief, notch: number): number =>
  Math.exp(mixtureQuantile(foretell(belief, { at: belief.at + 60, notch }), 0.5))

describe('what is learnt', () => {
  it('a freak shot hardly moves it, and is called one', () => {
    const before = learn(pulls([19, 19.5, 18.8, 19.2, 19.4, 19]))
    const after = observeShot(before, plainShot(11, 10, 1000))
    expect(after.last!.faultChance).toBeGreaterThan(0.5)
    expect(Math.abs(expected(after, 10) - expected(before, 10))).toBeLessThan(1)
  })

  it('but several at the new place are a change, and are followed', () => {
    const before = learn(pulls([19, 19.5, 18.8, 19.2, 19.4, 19]))
    const after = learn(pulls([13, 13.2, 12.9, 13.1], 10, 1000), before)
    expect(expected(after, 10)).toBeLessThan(14.5)
  })

  it('learns how much a notch is worth', () => {
    const belief = learn([
      ...pulls([19, 19.4, 18.7, 19.1], 10),
      ...pulls([24.5, 24.1, 24.8, 24.4], 12, 1000),
      ...pulls([15, 14.8, 15.1, 15], 8, 2000),
    ])
    // 24.45 / 19.05 over two notches: 13.3 %
    const { notchPercent } = summarise(belief)
    expect(notchPercent.mean).toBeGreaterThan(11)
    expect(notchPercent.mean).toBeLessThan(15)
    expect(notchPercent.low).toBeLessThan(13.3)
    expect(notchPercent.high).toBeGreaterThan(13.3)
  })

  it('never believes that finer is faster, even when told so', () => {
    const belief = learn([
      ...pulls([19, 19, 19], 10),
      ...pulls([12, 12, 12], 13, 1000),
      ...pulls([30, 30], 7, 2000),
    ])
    expect(summarise(belief).notchPercent.mean).toBeGreaterThan(0)
    expect(expected(belief, 14)).toBeGreaterThan(expected(belief, 10))
  })

  it('allows for old grounds when clearing them was not said, and takes a full dose for having cleared them', () => {
    const before = learn(pulls([19, 19.5, 18.8]))
    const unpurged = observeShot(before, { ...plainShot(25, 16, 1000), purged: false })
    expect(unpurged.last!.oldShare).toBeGreaterThan(0.05)
    expect(unpurged.last!.mixed).toBe(true)
    expect(unpurged.learnt).toBe(before.learnt + 1)
    // the next dose at that setting is clean, though nobody said "purged"
    const next = observeShot(unpurged, { ...plainShot(36, 16, 1060), purged: false })
    expect(next.last).toMatchObject({ oldShare: 0, mixed: false })
    // and so is one after a purge, but for a chute that holds more than a purge runs through
    const purged = observePurge(before, { notch: 16, at: 900 })
    const after = observeShot(purged, { ...plainShot(36, 16, 1000), purged: true })
    expect(after.last!.oldShare).toBeLessThan(unpurged.last!.oldShare)
  })

  it('learns whether a purge that is not said was done', () => {
    const work = (clean: boolean): GrinderBelief => {
      let belief = learn(pulls([19, 19.2, 18.9, 19.1]))
      for (let round = 0; round < 12; round += 1) {
        const notch = round % 2 === 0 ? 14 : 10
        const settled = notch === 14 ? 31 : 19
        // a third of the dose is old when nothing was cleared
        const first = clean ? settled : Math.exp((2 * Math.log(settled) + Math.log(50 - settled)) / 3)
        const at = 1000 + 300 * round
        belief = observeShot(belief, { ...plainShot(first, notch, at), purged: false })
        belief = observeShot(belief, { ...plainShot(settled, notch, at + 60), purged: false })
      }
      return belief
    }
    expect(work(true).last!.oldShare).toBe(0)
    const ask = (belief: GrinderBelief): number =>
      observeShot(belief, { ...plainShot(25, 14, belief.at + 100), purged: false }).last!.oldShare
    expect(ask(work(false))).toBeGreaterThan(ask(work(true)))
  })

  it('tells a steady hand from a scattered one', () => {
    expect(steadiness(learn(pulls([19, 20])))).toBe('unknown')
    const steady = learn(pulls([19, 19.5, 18.8, 19.2, 19.4, 19, 19.3]))
    expect(steadiness(steady)).toBe('steady')
    const wild = learn(pulls([19, 24, 16, 22, 15.5, 23, 17, 25, 16]))
    expect(steadiness(wild)).toBe('scattered')
    expect(scatterOf(wild)).toBeGreaterThan(2 * scatterOf(steady))
  })

  it('learns the heat of a grinder that slows as it works', () => {
    // cold starts at 19 s and 12 % slower when busy, three times over
    const shots = [0, 1, 2].flatMap((block) =>
      Array.from({ length: 12 }, (_, index) =>
        plainShot(19 * Math.exp((0.12 * Math.min(index, 9)) / 9), 10, 20_000 * block + 40 * index + 1),
      ),
    )
    expect(summarise(learn(shots)).heatPercent.mean).toBeGreaterThan(4)
    expect(summarise(learn(pulls([19, 19, 19, 19, 19, 19]))).heatPercent.mean).toBeLessThan(2)
  })

  it('uses the weather when it is known', () => {
    // 1 % slower for each percent of humidity: more than the drift can explain so fast
    const shots = Array.from({ length: 30 }, (_, index) => {
      const humidity = index % 2 === 0 ? 40 : 65
      return {
        ...plainShot(19 * Math.exp(0.004 * (humidity - 50)), 10, 60 * (index + 1)),
        air: { temperature: 21, humidity },
      }
    })
    const belief = learn(shots)
    const at = belief.at + 60
    const of = (humidity: number): number =>
      mixtureQuantile(foretell(belief, { at, notch: 10, air: { temperature: 21, humidity } }), 0.5)
    expect(of(65) - of(40)).toBeGreaterThan(0.05)
  })
})

describe('carrying over', () => {
  const day = learn([
    ...pulls([19, 19.4, 18.7, 19.1], 10),
    ...pulls([24.5, 24.1, 24.8, 24.4], 12, 1000),
    ...pulls([15, 14.8, 15.1, 15], 8, 2000),
  ])

  it.each(['new day', 'new bag', 'new coffee'] as const)('keeps the slope but is less sure: %s', (to) => {
    const next = carryOver(day, to, day.at + 50_000)
    const spread = (belief: GrinderBelief): number => {
      const parts = foretell(belief, { at: belief.at, notch: 10 })
      return mixtureQuantile(parts, 0.95) - mixtureQuantile(parts, 0.05)
    }
    expect(spread(next)).toBeGreaterThan(spread(day))
    expect(summarise(next).notchPercent.mean).toBeCloseTo(summarise(day).notchPercent.mean, 6)
    expect(summarise(next).driftPercent).toEqual({ mean: 0, low: 0, high: 0 })
    // where it stands is kept: yesterday's drift is part of today's level
    const standing = (belief: GrinderBelief): number =>
      belief.bank[0]!.state.mean[0]! + belief.bank[0]!.state.mean[3]!
    expect(standing(next)).toBeCloseTo(standing(day), 12)
  })

  it('is less sure the more has changed', () => {
    const width = (to: 'new day' | 'new bag' | 'new coffee'): number =>
      carryOver(day, to, day.at).bank[0]!.state.covariance[0]!
    expect(width('new day')).toBeLessThan(width('new bag'))
    expect(width('new bag')).toBeLessThan(width('new coffee'))
  })
})

describe('the value', () => {
  it('is plain: survives being stored and goes on the same', () => {
    const belief = learn(pulls([19, 22, 18]))
    const stored = JSON.parse(JSON.stringify(belief)) as GrinderBelief
    expect(stored).toEqual(belief)
    expect(observeShot(stored, plainShot(20, 11, 2000))).toEqual(observeShot(belief, plainShot(20, 11, 2000)))
  })

  it('stays the same size and stays sound over thousands of shots', () => {
    const random = randomFrom(4)
    let belief = beginBelief(0)
    for (let index = 0; index < 3000; index += 1) {
      const notch = 10 + Math.round(random.normal())
      belief = observeShot(
        belief,
        plainShot(19 * Math.exp(0.12 * (notch - 10) + 0.05 * random.normal()), notch, 60 * index),
      )
    }
    expect(JSON.stringify(belief).length).toBeLessThan(40_000)
    for (const { weight, state } of belief.bank) {
      expect(weight).toBeGreaterThan(0)
      state.mean.forEach((_, index) =>
        expect(state.covariance[index * (state.mean.length + 1)]).toBeGreaterThan(0),
      )
    }
    expect(expected(belief, 10)).toBeGreaterThan(17)
    expect(expected(belief, 10)).toBeLessThan(21)
  })

  it('survives a time that nothing explains', () => {
    const belief = learn(pulls([19, 19.2, 19.1, 19, 179, 1, 19]))
    expect(Number.isFinite(expected(belief, 10))).toBe(true)
  })
})

describe('bad input', () => {
  const belief = learn(pulls([19, 20]))
  const shot = plainShot(19, 10, 1000)
  it.each([
    [{ ...shot, seconds: NaN }, 'time of the shot must be from 1 to 180 seconds, not NaN'],
    [{ ...shot, seconds: -4 }, 'time of the shot must be from 1 to 180 seconds, not -4'],
    [{ ...shot, seconds: 600 }, 'time of the shot must be from 1 to 180 seconds, not 600'],
    [{ ...shot, notch: Infinity }, 'notch must be from -1000 to 1000, not Infinity'],
    [{ ...shot, at: 60 }, 'time of the event must be from 120 to Infinity seconds, in order, not 60'],
    [{ ...shot, dose: { grams: 0, recipeGrams: 18 } }, 'dose must be from 5 to 40 grams, not 0'],
    [
      { ...shot, air: { temperature: 20, humidity: 130 } },
      'humidity of the room must be from 0 to 100 percent, not 130',
    ],
  ])('names the value and its range', (bad, words) => {
    expect(() => observeShot(belief, bad)).toThrow(words)
  })

  it('refuses a day that begins before the last ended', () => {
    expect(() => carryOver(belief, 'new day', 0)).toThrow('in order')
    expect(() => beginBelief(NaN)).toThrow('NaN')
  })
})
