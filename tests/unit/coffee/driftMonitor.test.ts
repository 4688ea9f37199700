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

describe('the drift monitor', () => {
  it('warns of a creep before the window is lost', () => {
    // 0.6 % slower with every shot from the middle of the window: out of it after 22
    const times = Array.from({ length: 40 }, (_, index) => 19.3 * Math.exp(0.006 * index))
    const { warnings } = watch(times)
    expect(warnings[0]).toMatchObject({ direction: 'slower', sentence: 'drift.slower' })
    expect(times[warnings[0]!.at - 1]).toBeLessThan(22)
    expect(warnings[0]!.values.shots).toBe(warnings[0]!.at)
    expect(warnings[0]!.values.percent).toBeGreaterThan(4)
    // once
    expect(warnings).toHaveLength(1)
  })

  it('warns of a creep the other way', () => {
    const { warnings } = watch(Array.from({ length: 40 }, (_, index) => 19.3 * Math.exp(-0.006 * index)))
    expect(warnings).toHaveLength(1)
    expect(warnings[0]).toMatchObject({ direction: 'faster', sentence: 'drift.faster' })
  })

  it('does not chase noise: a false alarm in fewer than one morning of 60 shots in four', () => {
    let alarms = 0
    for (let run = 0; run < 400; run += 1) {
      const { normal } = randomFrom(run)
      alarms += watch(Array.from({ length: 60 }, () => 19.3 * Math.exp(0.05 * normal()))).warnings.length
    }
    expect(alarms / 400).toBeLessThan(0.25)
  })

  it('warns of three creeps in four before the window is lost, through the scatter', () => {
    let inTime = 0
    for (let run = 0; run < 400; run += 1) {
      const { normal } = randomFrom(run)
      const times = Array.from({ length: 22 }, (_, index) => 19.3 * Math.exp(0.05 * normal() + 0.006 * index))
      if (watch(times).warnings[0]?.direction === 'slower') inTime += 1
    }
    expect(inTime / 400).toBeGreaterThan(0.75)
  })

  it('starts afresh when the grind is moved', () => {
    const first = watch([19, 19.2, 19.4, 19.1]).end
    const moved = watchDrift(first, { ...shot, notch: 9, seconds: 16 })
    expect(moved.monitor).toMatchObject({ notch: 9, count: 1 })
    expect(moved.warning).toBeNull()
  })

  it('does not count a freak, a likely fault or a mixed dose', () => {
    const steady = [19, 19.2, 19.4, 19.1, 19.3]
    const { end } = watch(steady)
    for (const odd of [{ seconds: 11 }, { seconds: 15, faultChance: 0.9 }, { seconds: 24, mixed: true }])
      expect(watchDrift(end, { ...shot, ...odd }).monitor.count).toBe(end.count)
    // but a second one on the same side is no freak
    expect(watch([...steady, 14, 14.2]).end.count).toBe(end.count + 1)
  })

  it('allows for how little one shot says of the mean', () => {
    // 3.4 scatters apart, but 2.4 of what two single shots differ by: no freak yet
    expect(watch([19, 22.5]).end.count).toBe(2)
    expect(watch([19, 25]).end.count).toBe(1)
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
