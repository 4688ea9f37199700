import { describe, expect, it } from 'vitest'
import {
  beginDriftMonitor,
  watchDrift,
  type DriftMonitor,
  type DriftWarning,
} from '../../../src/coffee/index.ts'
import { randomFrom } from '../../../src/coffee/random.ts'

const shot = { notch: 10, scatter: 0.05, faultChance: 0, mixed: false }

function watch(times: readonly number[], more: Partial<typeof shot> = {}) {
  const warnings: (DriftWarning & { at: number })[] = []
  const end = times.reduce<DriftMonitor>((monitor, seconds, index) => {
    const step = watchDrift(monitor, { ...shot, ...more, seconds })
    if (step.warning) warnings.push({ ...step.warning, at: index + 1 })
    return step.monitor
  }, beginDriftMonitor())
  return { warnings, end }
}

/** Times about 19.3 s with a first-order autoregression in ln(time), and a creep. */
function morning(seed: number, shots: number, scatter: number, correlation = 0, creep = 0): number[] {
  const { normal } = randomFrom(seed)
  let off = normal()
  return Array.from({ length: shots }, (_, index) => {
    if (index > 0) off = correlation * off + Math.sqrt(1 - correlation ** 2) * normal()
    return 19.3 * Math.exp(scatter * off + creep * index)
  })
}

describe('the drift monitor', () => {
  it('warns of a creep before the window is lost, once', () => {
    // 0.6 % slower with every shot from the middle of the window: out of it after 22
    const times = Array.from({ length: 40 }, (_, index) => 19.3 * Math.exp(0.006 * index))
    const { warnings } = watch(times)
    expect(warnings[0]).toMatchObject({ direction: 'slower', sentence: 'drift.slower' })
    expect(times[warnings[0]!.at - 2]).toBeLessThan(22.3)
    expect(warnings[0]!.values.shots).toBe(warnings[0]!.at)
    expect(warnings[0]!.values.percent).toBeGreaterThanOrEqual(4)
    expect(warnings).toHaveLength(1)
  })

  it('warns of a creep the other way', () => {
    const { warnings } = watch(Array.from({ length: 40 }, (_, index) => 19.3 * Math.exp(-0.006 * index)))
    expect(warnings).toHaveLength(1)
    expect(warnings[0]).toMatchObject({ direction: 'faster', sentence: 'drift.faster' })
  })

  it.each([
    [0.03, 0],
    [0.05, 0],
    [0.05, 0.25],
    [0.05, 0.5],
    [0.12, 0.5],
  ])(
    'warns falsely in at most 15 %% of calm mornings of 60 shots: scatter %s, correlation %s',
    (scatter, correlation) => {
      let alarms = 0
      for (let run = 0; run < 600; run += 1)
        if (watch(morning(run, 60, scatter, correlation), { scatter }).warnings.length > 0) alarms += 1
      // two standard errors of a share of 600
      expect(alarms / 600).toBeLessThan(0.15 + 2 * Math.sqrt((0.15 * 0.85) / 600))
    },
  )

  it('warns of nearly half of the fast creeps and of nearly all slower ones before the window is lost', () => {
    const inTime = (creep: number): number => {
      let count = 0
      for (let run = 0; run < 300; run += 1) {
        const shots = Math.floor(Math.log(22 / 19.3) / creep)
        if (watch(morning(run, shots, 0.05, 0, creep)).warnings[0]?.direction === 'slower') count += 1
      }
      return count / 300
    }
    expect(inTime(0.006)).toBeGreaterThan(0.45)
    expect(inTime(0.003)).toBeGreaterThan(0.9)
  })

  it.each([0.0015, 0.003, 0.006])('says as many percent as are true, on average: %s a shot', (creep) => {
    let said = 0
    let truth = 0
    let warned = 0
    for (let run = 0; run < 300; run += 1) {
      const [warning] = watch(morning(run, 80, 0.05, 0.2, creep)).warnings
      if (!warning) continue
      warned += 1
      said += warning.values.percent
      truth += 100 * Math.expm1(creep * (warning.at - 1))
    }
    expect(Math.abs(said - truth) / warned).toBeLessThan(1.5)
  })

  it('starts afresh when the grind is moved and nothing is known of what that did', () => {
    const first = watch([19, 19.2, 19.4, 19.1]).end
    const moved = watchDrift(first, { ...shot, notch: 9, seconds: 16 })
    expect(moved.monitor).toMatchObject({ notch: 9 })
    expect(moved.monitor.values).toHaveLength(1)
    expect(moved.warning).toBeNull()
  })

  it('sees a creep through moves that take it out, when it knows what a notch does', () => {
    // 0.6 % a shot, and a notch of 12 % coarser every twenty shots
    let monitor = beginDriftMonitor()
    let warned = 0
    for (let index = 0; index < 60; index += 1) {
      const notch = 10 - Math.floor(index / 20)
      const effects = 0.12 * (notch - 10)
      const step = watchDrift(monitor, {
        ...shot,
        notch,
        effects,
        seconds: 18.5 * Math.exp(0.006 * index + effects),
      })
      monitor = step.monitor
      if (step.warning) warned += 1
    }
    expect(warned).toBe(1)
  })

  it('leaves the word to the move when the grind is moved after the shot', () => {
    let monitor = beginDriftMonitor()
    for (let index = 0; index < 40; index += 1) {
      const step = watchDrift(monitor, {
        ...shot,
        seconds: 19.3 * Math.exp(0.006 * index),
        moving: true,
      })
      monitor = step.monitor
      expect(step.warning).toBeNull()
    }
    expect(monitor.warned).toBe('slower')
  })

  it('does not count a freak, a likely fault or a mixed dose', () => {
    const steady = [19, 19.2, 19.4, 19.1, 19.3]
    const { end } = watch(steady)
    for (const odd of [{ seconds: 11 }, { seconds: 15, faultChance: 0.9 }, { seconds: 24, mixed: true }])
      expect(watchDrift(end, { ...shot, ...odd }).monitor.values).toEqual(end.values)
    // but a second one on the same side is no freak
    expect(watch([...steady, 14, 14.2]).end.values).toHaveLength(end.values.length + 1)
  })

  it('allows for how little one shot says of the mean', () => {
    // 3.4 scatters apart, but 2.4 of what two single shots differ by: no freak yet
    expect(watch([19, 22.5]).end.values).toHaveLength(2)
    expect(watch([19, 26]).end.values).toHaveLength(1)
  })

  it('is a plain value', () => {
    const { end } = watch([19, 19.2, 19.4])
    expect(JSON.parse(JSON.stringify(end))).toEqual(end)
  })

  it.each([
    [{ seconds: NaN }, 'time of the shot must be from 1 to 180 seconds, not NaN'],
    [{ seconds: 0 }, 'not 0'],
    [{ seconds: 19, scatter: 0 }, 'scatter of ln(time) must be from 0.001 to 1, not 0'],
    [{ seconds: 19, faultChance: 2 }, 'chance of a fault must be from 0 to 1, not 2'],
    [{ seconds: 19, notch: NaN }, 'notch must be from -1000 to 1000, not NaN'],
  ])('refuses %o', (bad, words) => {
    expect(() => watchDrift(beginDriftMonitor(), { ...shot, ...bad })).toThrow(words)
  })
})
