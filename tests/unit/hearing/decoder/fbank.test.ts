import { expect, it } from 'vitest'
import { createFbank, readFbankConf } from '../../../../src/hearing/decoder/fbank.ts'

const conf =
  '--sample-frequency=16000\n--num-mel-bins=40\n--low-freq=60\n--high-freq=7600\n--dither=0\n--snip-edges=true\n'
const sound = Float32Array.from(
  { length: 1600 },
  (_, i) => 0.3 * Math.sin(0.02 * i * (1 + i / 800)) + 0.01 * Math.sin(i * i),
)

/** Kaldi's definition (src/feat/feature-window.cc, mel-computations.cc) written out with a plain Fourier sum. */
function byDefinition(samples: Float32Array, start: number): number[] {
  const frame = Array.from({ length: 400 }, (_, i) => 32768 * (samples[start + i] ?? 0))
  const mean = frame.reduce((sum, value) => sum + value, 0) / 400
  const level = frame.map((value) => value - mean)
  const windowed = level.map(
    (value, i) =>
      (value - 0.97 * (level[Math.max(0, i - 1)] ?? 0)) *
      (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / 399)) ** 0.85,
  )
  const power = Array.from({ length: 256 }, (_, bin) => {
    let [real, imaginary] = [0, 0]
    windowed.forEach((value, i) => {
      real += value * Math.cos((2 * Math.PI * bin * i) / 512)
      imaginary -= value * Math.sin((2 * Math.PI * bin * i) / 512)
    })
    return real ** 2 + imaginary ** 2
  })
  const mel = (hertz: number) => 1127 * Math.log(1 + hertz / 700)
  const step = (mel(7600) - mel(60)) / 41
  return Array.from({ length: 40 }, (_, index) => {
    const [left, centre, right] = [0, 1, 2].map((k) => mel(60) + (index + k) * step) as [
      number,
      number,
      number,
    ]
    const energy = power.reduce((sum, value, bin) => {
      const at = mel(bin * 31.25)
      if (at <= left || at >= right) return sum
      return sum + value * (at <= centre ? (at - left) / (centre - left) : (right - at) / (right - centre))
    }, 0)
    return Math.log(Math.max(energy, 1.1920929e-7))
  })
}

it('computes what Kaldi defines', () => {
  const frames = createFbank(readFbankConf(conf)).push(sound)
  expect(frames.length).toBe(40 * 8)
  for (const frame of [0, 3, 7]) {
    const wanted = byDefinition(sound, 160 * frame)
    wanted.forEach((value, i) => expect(frames[40 * frame + i]).toBeCloseTo(value, 3))
  }
})

it('gives the same frames however the sound is cut', () => {
  const whole = createFbank(readFbankConf(conf)).push(sound)
  const fbank = createFbank(readFbankConf(conf))
  const pieces = [0, 7, 407, 900].map((from, i, all) =>
    fbank.push(sound.slice(from, all[i + 1] ?? sound.length)),
  )
  expect(pieces.flatMap((piece) => [...piece])).toEqual([...whole])
})

it('refuses options that it does not compute', () => {
  expect(() => readFbankConf('--use-energy=true\n')).toThrow('--use-energy=true is not known here')
})
