import { describe, expect, it } from 'vitest'
import {
  benchNotches,
  createBench,
  ordinaryBench,
  pullShot,
  purgeBench,
  standardRecipes,
  typicalTime,
  type Bench,
  type BenchSettings,
  type Recipe,
} from '../../../src/coffee/index.ts'
import { bedOf, shotTime } from '../../../src/coffee/bench.ts'
import { permeability, steadyFlow, waterViscosity, wettingTime } from '../../../src/coffee/flow.ts'

const { double, triple } = standardRecipes
const centre = ordinaryBench.centreNotch
/** Nothing left to chance. */
const calm: Partial<BenchSettings> = {
  doseScatter: 0,
  tampScatter: 0,
  bedScatter: 0,
  channelChance: 0,
  weatherWander: 0,
  heatEffect: 0,
  coldGroup: 0,
  play: 0,
  purge: 4,
}

const pull = (bench: Bench, notch: number, at: number, recipe: Recipe = double) =>
  pullShot(bench, { notch, recipe, at })

describe('flow through a bed', () => {
  it('has the permeability of Kozeny and Carman', () => {
    // by hand, spheres of 1 mm at porosity 0.4: 1e-6 x 0.064 / (180 x 0.36) = 9.8765e-10 m2
    expect(permeability({ diameter: 1e-3, porosity: 0.4 })).toBeCloseTo(9.876543e-10, 16)
  })

  it('has the viscosity of water', () => {
    // IAPWS values at atmospheric pressure, mPa s, from memory: 1.0016 at 20, 0.5465 at 50, 0.3144 at 90 degrees
    for (const [celsius, value] of [
      [20, 1.0016e-3],
      [50, 0.5465e-3],
      [90, 0.3144e-3],
    ] as const)
      expect(Math.abs(waterViscosity(celsius) / value - 1)).toBeLessThan(0.025)
  })

  const bed = { diameter: 20e-6, porosity: 0.2, depth: 0.016, area: 2.6e-3 }
  const viscosity = 3e-4

  it("follows Darcy's law in a uniform saturated bed behind a perfect pump", () => {
    const pressure = 9e5
    const flow =
      (bed.diameter ** 2 * 0.2 ** 3 * bed.area * pressure) / (180 * 0.8 ** 2 * viscosity * bed.depth)
    expect(steadyFlow(bed, { pressure, freeFlow: Infinity }, viscosity)).toBeCloseTo(flow, 12)
  })

  it('meets the line of a real pump', () => {
    const pump = { pressure: 9e5, freeFlow: 5e-6 }
    const flow = steadyFlow(bed, pump, viscosity)
    // at that flow the pump gives this pressure, and Darcy's law asks for the same
    const given = pump.pressure * (1 - flow / pump.freeFlow)
    expect((flow * viscosity * bed.depth) / (permeability(bed) * bed.area)).toBeCloseTo(given, 3)
  })

  it('wets the dry bed as step by step integration does', () => {
    const pressure = 9e5
    const k = permeability(bed)
    // front speed: k x pressure / (viscosity x wet depth) / porosity, from a first thin layer on
    const first = 1e-6
    let time = 0
    for (let depth = first; depth < bed.depth; depth += 1e-7)
      time += (1e-7 * viscosity * bed.porosity * (depth + 0.5e-7)) / (k * pressure)
    expect(wettingTime(bed, { pressure, freeFlow: Infinity }, viscosity)).toBeCloseTo(time, 4)
  })

  it('gives a shot the time of its parts', () => {
    const settings = { ...ordinaryBench, fillTime: 0, freeFlow: Infinity }
    const packed = bedOf(settings, double, {
      notch: centre,
      oldNotch: centre,
      oldGrind: 0,
      dose: 18,
      tamp: 1,
    })
    const drink = 2.5 * 29.5735295625 * 0.55 * 1e-6
    const darcy =
      (drink * waterViscosity(93) * packed.depth) /
      (permeability(packed) * packed.area * settings.pressure * 1e5)
    const wetting = wettingTime(packed, { pressure: 9e5, freeFlow: Infinity }, waterViscosity(93))
    expect(shotTime(settings, double, packed, 1)).toBeCloseTo(darcy + wetting, 9)
  })
})

describe('rules of thumb of the trade', () => {
  const bench = createBench(1)
  const time = (finer: number, recipe = double): number => typicalTime(bench, centre + finer, recipe)

  it('runs a double for the middle of its window at the centre notch', () => {
    expect(time(0)).toBeGreaterThan(18.5)
    expect(time(0)).toBeLessThan(20.5)
  })

  it('makes a notch worth two to three seconds there', () => {
    expect(time(1) - time(0)).toBeGreaterThan(2)
    expect(time(1) - time(0)).toBeLessThan(3)
    expect(time(0) - time(-1)).toBeGreaterThan(1.5)
  })

  it('reaches a 35 s double some notches finer and runs towards 6 s at the coarse end', () => {
    expect(time(3)).toBeLessThan(35)
    expect(time(6)).toBeGreaterThan(35)
    expect(time(-14)).toBeLessThan(7)
  })

  it('runs a triple slower than a double, in its window within a few notches', () => {
    expect(time(0, triple)).toBeGreaterThan(time(0) * 1.2)
    const nearest = [-3, -2, -1, 0, 1].map((finer) => time(finer, triple))
    expect(nearest.some((seconds) => seconds >= 25 && seconds <= 30)).toBe(true)
  })

  it('is slower for each notch finer, everywhere', () => {
    const { lowest, highest } = benchNotches(bench)
    for (let notch = lowest; notch < highest; notch += 1)
      expect(typicalTime(bench, notch + 1, double)).toBeGreaterThan(typicalTime(bench, notch, double))
  })

  it('is slower for a bigger dose, and far less moved by the tamp than by the grind', () => {
    const packing = { notch: centre, oldNotch: centre, oldGrind: 0, dose: 18, tamp: 1 }
    const of = (more: Partial<typeof packing>): number =>
      shotTime(ordinaryBench, double, bedOf(ordinaryBench, double, { ...packing, ...more }), 1)
    expect(of({ dose: 19 })).toBeGreaterThan(of({}))
    expect(of({ tamp: 1.5 })).toBeGreaterThan(of({}))
    expect(of({ tamp: 1.5 }) - of({})).toBeLessThan(time(1) - time(0))
  })
})

describe('the bench', () => {
  it('gives the same shots for the same random seed, and others for another', () => {
    const shots = (seed: number) => {
      let bench = createBench(seed)
      return Array.from({ length: 5 }, (_, index) => {
        const pulled = pull(bench, centre, 60 * index)
        bench = JSON.parse(JSON.stringify(pulled.bench)) as Bench
        return pulled.shot
      })
    }
    expect(shots(7)).toEqual(shots(7))
    expect(shots(7)).not.toEqual(shots(8))
  })

  it('scatters a typical shot about its typical time', () => {
    let bench = createBench(3, { ...calm, bedScatter: 0.05 })
    const logs = Array.from({ length: 400 }, (_, index) => {
      const pulled = pull(bench, centre, 60 * index)
      bench = pulled.bench
      return Math.log(pulled.shot.seconds / typicalTime(bench, centre, double))
    })
    const mean = logs.reduce((sum, value) => sum + value, 0) / logs.length
    const deviation = Math.sqrt(logs.reduce((sum, value) => sum + (value - mean) ** 2, 0) / logs.length)
    expect(Math.abs(mean)).toBeLessThan(0.01)
    // the fixed time to fill does not scatter, so a little less than the bed's 5 %
    expect(deviation).toBeGreaterThan(0.035)
    expect(deviation).toBeLessThan(0.052)
  })

  it('keeps old grounds in the chute until a dose or a purge clears them', () => {
    const settled = pull(createBench(1, calm), centre, 0).bench
    const first = pull(settled, centre - 3, 60)
    expect(first.shot.oldGrind).toBeCloseTo(4 / 18, 9)
    const second = pull(first.bench, centre - 3, 120)
    expect(second.shot.oldGrind).toBe(0)
    expect(first.shot.seconds).toBeGreaterThan(second.shot.seconds)
    const purged = pull(purgeBench(settled, { notch: centre - 3, at: 30 }), centre - 3, 60)
    expect(purged.shot.oldGrind).toBe(0)
    expect(purged.shot.seconds).toBeCloseTo(second.shot.seconds, 9)
  })

  it('keeps some of the old grounds when a purge runs through less than is held up', () => {
    const settled = pull(createBench(1, { ...calm, retention: 9, purge: 3 }), centre, 0).bench
    const purged = pull(purgeBench(settled, { notch: centre - 3, at: 30 }), centre - 3, 60)
    expect(purged.shot.oldGrind).toBeCloseTo(6 / 18, 9)
    expect(pull(purged.bench, centre - 3, 120).shot.oldGrind).toBe(0)
  })

  it('has play: the burrs follow when the collar has taken it up', () => {
    const lagging = { ...calm, play: 1, retention: 0 }
    const finer = pull(pull(createBench(1, lagging), centre, 0).bench, centre + 2, 60)
    const back = pull(finer.bench, centre + 1, 120)
    expect(back.shot.seconds).toBeCloseTo(finer.shot.seconds, 9)
    expect(pull(back.bench, centre, 180).shot.seconds).toBeLessThan(back.shot.seconds - 1)
  })

  it('makes a gram of dose worth two to four seconds (common practice)', () => {
    const of = (dose: number): number => {
      const off = Array.from(
        { length: 300 },
        (_, seed) => pull(createBench(seed, { ...calm, doseScatter: 0.3 }), centre, 0).shot,
      )
      const near = off.filter((shot) => Math.abs(shot.dose - dose) < 0.15)
      return near.reduce((sum, shot) => sum + shot.seconds, 0) / near.length
    }
    const perGram = (of(18.4) - of(17.6)) / 0.8
    expect(perGram).toBeGreaterThan(2)
    expect(perGram).toBeLessThan(4)
  })

  it('runs the first shot through a cold group slow, and the next one less so', () => {
    const bench = createBench(1, { ...calm, coldGroup: 10 })
    const first = pull(bench, centre, 0)
    const second = pull(first.bench, centre, 60)
    expect(first.shot.seconds).toBeGreaterThan(1.08 * typicalTime(bench, centre, double))
    expect(second.shot.seconds).toBeLessThan(1.02 * typicalTime(bench, centre, double))
  })

  it('warms with each dose and cools with time', () => {
    let bench = createBench(1, { ...calm, heatEffect: 0.01 })
    const cold = typicalTime(bench, centre, double)
    for (let index = 0; index < 10; index += 1) ({ bench } = pull(bench, centre, 45 * index))
    const busy = typicalTime(bench, centre, double)
    expect(busy).toBeGreaterThan(1.05 * cold)
    const rested = pull(bench, centre, 20_000).bench
    expect(typicalTime(rested, centre, double)).toBeLessThan(1.02 * cold)
  })

  it('starts its clock at the first event, whatever the clock says', () => {
    const early = pull(createBench(2), centre, 0)
    const late = pull(createBench(2), centre, 1.8e9)
    expect(late.shot).toEqual(early.shot)
    const after = pull(early.bench, centre, 60).shot.seconds
    expect(pull(late.bench, centre, 1.8e9 + 60).shot.seconds).toBeCloseTo(after, 9)
    expect(() => pull(createBench(2), centre, NaN)).toThrow('not NaN')
  })

  it('drifts with the weather', () => {
    const bench = createBench(1, { ...calm, weatherTrend: 0.05 })
    const opened = purgeBench(bench, { notch: centre, at: 0 })
    const later = pull(opened, centre, 4 * 3600).shot.seconds
    expect(Math.log(later / pull(opened, centre, 0).shot.seconds)).toBeGreaterThan(0.1)
    const damp = { notch: centre, recipe: double, at: 0, air: { temperature: 20, humidity: 80 } }
    expect(pullShot(bench, damp).shot.seconds).toBeGreaterThan(pull(bench, centre, 0).shot.seconds)
  })

  it('runs fast when water breaks through, and shows it about half the time', () => {
    let bench = createBench(5, { ...calm, channelChance: 1 })
    const typical = typicalTime(bench, centre, double)
    let sprayed = 0
    for (let index = 0; index < 100; index += 1) {
      const pulled = pull(bench, centre, 60 * index)
      bench = pulled.bench
      expect(pulled.shot.channelled).toBe(true)
      expect(pulled.shot.seconds).toBeLessThan(0.95 * typical)
      if (pulled.shot.looks.includes('spraying')) sprayed += 1
    }
    expect(sprayed).toBeGreaterThan(30)
    expect(sprayed).toBeLessThan(70)
  })

  it('looks as a barista would see it', () => {
    const bench = createBench(1, calm)
    expect(pull(bench, centre, 0).shot.looks).toEqual(['even'])
    expect(pull(bench, centre + 7, 0).shot.looks).toEqual(['dark drips'])
    expect(pull(bench, centre - 12, 0).shot.looks).toContain('gushing')
  })

  it.each([
    [() => createBench(-1), 'random seed must be from 0'],
    [() => createBench(1, { porosity: 0.9 }), 'bench porosity must be from 0.1 to 0.5, not 0.9'],
    [() => createBench(1, { retention: NaN }), 'bench retention must be from 0 to 20, not NaN'],
    [() => pull(createBench(1), 99, 0), 'notch must be from 1 to 29, not 99'],
    [() => pull(pull(createBench(1), centre, 100).bench, centre, 50), 'time of the event must be from 100'],
    [() => purgeBench(createBench(1), { notch: NaN, at: 0 }), 'not NaN'],
  ])('names what is wrong', (run, words) => {
    expect(run).toThrow(words)
  })
})
