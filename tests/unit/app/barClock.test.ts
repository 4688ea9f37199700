import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { createBarClock } from '../../../src/app/device/barClock.ts'

/** An audio context's clock, which stands still while the system holds the sound. */
class HeldContext extends EventTarget {
  currentTime = 0
  state: AudioContextState = 'running'
  change(state: AudioContextState) {
    this.state = state
    this.dispatchEvent(new Event('statechange'))
  }
}

describe('the bar clock', () => {
  let context: HeldContext
  beforeEach(() => {
    vi.useFakeTimers({ now: 1_000_000_000, toFake: ['Date', 'performance'] })
    context = new HeldContext()
  })
  afterEach(() => void vi.useRealTimers())

  /** Time goes by; the audio clock goes with it while it runs. */
  const pass = (seconds: number) => {
    vi.advanceTimersByTime(seconds * 1000)
    if (context.state === 'running') context.currentTime += seconds
  }
  const clockOf = (notBefore?: number) => createBarClock(context as unknown as AudioContext, notBefore)

  it('starts at the wall clock and then follows the audio clock alone', () => {
    const clock = clockOf()
    expect(clock.now()).toBe(1_000_000)
    pass(10)
    vi.setSystemTime(0)
    expect(clock.now()).toBe(1_000_010)
  })

  it('does not go back before what is known to have happened', () => {
    expect(clockOf(1_000_500).now()).toBe(1_000_500)
  })

  it('makes up the time in which the system held the sound', () => {
    const clock = clockOf()
    pass(5)
    context.change('suspended')
    pass(30)
    expect(clock.now()).toBeCloseTo(1_000_035, 6)
    context.change('running')
    expect(clock.now()).toBeCloseTo(1_000_035, 6)
    pass(2)
    expect(clock.now()).toBeCloseTo(1_000_037, 6)
    expect(clock.toBar(context.currentTime)).toBeCloseTo(1_000_037, 6)
    expect(clock.toAudio(1_000_037)).toBeCloseTo(context.currentTime, 6)
  })

  it('counts a change from one held state to another once', () => {
    const clock = clockOf()
    context.change('interrupted' as AudioContextState)
    pass(3)
    context.change('suspended')
    pass(4)
    context.change('running')
    expect(clock.now()).toBeCloseTo(1_000_007, 6)
  })
})
