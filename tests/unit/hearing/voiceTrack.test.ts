import { expect, it } from 'vitest'
import { VoiceTrack } from '../../../src/hearing/voiceTrack.ts'

/** A second of a tone at 16 kHz with its loudness, and whether it is a voice. */
function second(track: VoiceTrack, level: number, voice: number): void {
  track.push(
    Float32Array.from({ length: 16000 }, (_, i) => level * Math.sin(i)),
    new Array<number>(100).fill(voice),
  )
}

it('finds voices beside the words, with their loudness against them', () => {
  const track = new VoiceTrack(0.5, 160)
  second(track, 0.1, 0.9)
  second(track, 0.2, 0.9)
  second(track, 0.2, 0.1)
  const beside = track.beside([{ onset: 1, end: 2 }], 0, 3)
  // the first second but for its last tenth, which may belong to the word; half the amplitude is 6 dB less
  expect(beside).toHaveLength(90)
  expect(beside[0]?.at).toBeCloseTo(0.005)
  for (const { level } of beside) expect(level).toBeCloseTo(-6.02, 1)
})

it('keeps its count of time over hours', () => {
  const track = new VoiceTrack(0.5, 160)
  for (let i = 0; i < 600; i++) second(track, 0.1, 0)
  second(track, 0.1, 1)
  second(track, 0.1, 0)
  const beside = track.beside([{ onset: 601.2, end: 601.8 }], 599, 602)
  expect(beside).toHaveLength(100)
  expect(beside[0]?.at).toBeCloseTo(600.005)
})
