import { describe, expect, test } from 'vitest'
import { barRooms, heardIn, type BarRoom } from '../../../../audio-fixtures/pump/barRooms.ts'
import { machines, type Machine } from '../../../../audio-fixtures/pump/machine.ts'
import { pumpSound } from '../../../../audio-fixtures/pump/pumpSound.ts'
import { barSound } from '../../../../audio-fixtures/barNoise.ts'
import { sampleRate } from '../../../../audio-fixtures/wav.ts'
import { randomFrom } from '../../../../src/coffee/random.ts'
import { bandCount, createBandStream, middleOf } from '../../../../src/hearing/pump/bands.ts'
import { belowBell } from '../../../../src/hearing/pump/density.ts'
import { PumpStudent, type PumpReport } from '../../../../src/hearing/pump/pumpStudent.ts'

const shotEvery = 22
const shotSeconds = 10
const firstShot = 9

/** Shots of one machine, every {@link shotEvery} seconds, with a grinder before each. */
function shotsOf(machine: Machine, count: number, room: BarRoom): Float32Array {
  const { uniform } = randomFrom(5)
  const samples = new Float32Array(count * shotEvery * sampleRate)
  const add = (at: number, sound: Float32Array, gain: number) =>
    sound.forEach((sample, i) => {
      const place = Math.round(at * sampleRate) + i
      if (place < samples.length) samples[place] = (samples[place] ?? 0) + gain * sample
    })
  for (let shot = 0; shot < count; shot++) {
    const at = shot * shotEvery + firstShot
    add(at - 7, barSound('grinder', 4, uniform), 0.05)
    const run = { onset: 0.5, end: 0.5 + shotSeconds }
    add(at - 0.5, pumpSound(machine, [run], 'right', shotSeconds + 2, uniform), 0.03)
  }
  const noise = samples.map(() => 0.002 * (2 * uniform() - 1))
  return heardIn(samples, room, 3).map((sample, i) => sample + (noise[i] ?? 0))
}

function hear(samples: Float32Array, taught: number): { student: PumpStudent; reports: PumpReport[] } {
  const reports: PumpReport[] = []
  const student = new PumpStudent((report) => reports.push(report))
  student.begin(0)
  let next = 0
  for (let at = 0; at < samples.length; at += 320) {
    const onset = next * shotEvery + firstShot
    if (next < taught && at / sampleRate > onset + shotSeconds + 0.5) {
      student.taught(onset + 0.1, onset + shotSeconds + 0.2)
      next++
    }
    student.hear(samples.subarray(at, at + 320))
  }
  return { student, reports }
}

const [room] = barRooms as [BarRoom]
const [vibration] = machines as [Machine]

describe('a pump that was timed five times', () => {
  const { student, reports } = hear(shotsOf(vibration, 8, room), 5)

  test('is known', () => {
    expect(student.knowledge).toMatchObject({ shots: 5, right: 5, isReady: true })
  })

  test('is heard to begin and end where it does', () => {
    const untaught = reports.flatMap((report) =>
      report.kind === 'off' && report.onset > 6 * shotEvery ? [report] : [],
    )
    expect(untaught).toHaveLength(2)
    untaught.forEach(({ onset, end }, shot) => {
      const truth = (6 + shot) * shotEvery + firstShot
      expect(Math.abs(onset - truth)).toBeLessThan(0.2)
      expect(Math.abs(end - truth - shotSeconds)).toBeLessThan(0.2)
    })
  })

  test('is forgotten when asked', () => {
    student.forget()
    expect(student.knowledge).toMatchObject({ shots: 0, isReady: false })
  })
})

test('words that have nothing to do with the pump teach nothing', () => {
  const reports: PumpReport[] = []
  const student = new PumpStudent((report) => reports.push(report))
  const samples = shotsOf(vibration, 6, room)
  student.begin(0)
  const wrong = [0, 1, 2, 3, 4].map((shot) => shot * shotEvery + 14 + shot)
  for (let at = 0; at < samples.length; at += 320) {
    const onset = wrong[0]
    if (onset !== undefined && at / sampleRate > onset + 8) {
      student.taught(onset, onset + 7)
      wrong.shift()
    }
    student.hear(samples.subarray(at, at + 320))
  }
  expect(student.knowledge.isReady).toBe(false)
}, 120_000)

describe('bands', () => {
  test('a full-scale sine of 1 kHz has a level of about 0 dB in its band and little elsewhere', () => {
    const sine = Float32Array.from({ length: 4096 }, (_, i) =>
      Math.sin((2 * Math.PI * 1000 * i) / sampleRate),
    )
    let last = new Float32Array(bandCount)
    createBandStream().push(sine, (bands) => (last = Float32Array.from(bands)))
    const sorted = [...last].sort((a, b) => b - a)
    expect(Math.abs(sorted[0] ?? 0)).toBeLessThan(1)
    expect(sorted[1]).toBeLessThan(-25)
  })

  test('frames are 20 ms apart', () => {
    expect(middleOf(1) - middleOf(0)).toBeCloseTo(0.02, 9)
  })
})

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1, cumulative distribution of the standard normal
test.each([
  [0, 0.5],
  [1, 0.84134],
  [1.96, 0.975],
  [-2, 0.02275],
])('the normal distribution below %f is %f', (z, share) => {
  expect(Math.abs(belowBell(z) - share)).toBeLessThan(0.0003)
})
