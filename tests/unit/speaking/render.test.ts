import { beforeAll, describe, expect, test } from 'vitest'
import { decodeOpus, oggPackets } from '../../../audio-fixtures/opus.ts'
import numbers from '../../../grammar/en/numbers.json'
import { finishRecording, level } from '../../../src/speaking/render/finish.ts'
import { openFlite, type Synthesise } from '../../../src/speaking/render/flite.ts'
import { encodeOggOpus } from '../../../src/speaking/render/oggOpus.ts'
import { isUpToDate, renderVoice } from '../../../src/speaking/render/renderVoice.ts'
import { readVoiceIndex } from '../../../src/speaking/voiceIndex.ts'
import type { Language, RecordedLanguage } from '../../../src/speaking/wording.ts'

const sampleRate = 16_000
let flite: Synthesise
beforeAll(async () => {
  flite = await openFlite()
})

describe('finishing a recording', () => {
  const burst = (amplitude: number, before: number, during: number, after: number) => {
    const samples = new Float32Array((before + during + after) * sampleRate)
    for (let index = 0; index < during * sampleRate; index++)
      samples[before * sampleRate + index] = amplitude * Math.sin(index / 5)
    return samples
  }

  test('cuts the silence off and keeps 35 ms of it', () => {
    const finished = finishRecording(burst(0.3, 0.5, 1, 0.7), sampleRate)
    expect(finished.length / sampleRate).toBeCloseTo(1.035, 2)
    expect(Math.abs(finished[0] ?? 1)).toBe(0)
    expect(Math.abs(finished.at(-1) ?? 1)).toBe(0)
  })

  test('brings loud and soft to one level and clips neither', () => {
    const levels = [0.01, 0.1, 0.9].map((amplitude) =>
      level(finishRecording(burst(amplitude, 0.1, 1, 0.1), sampleRate)),
    )
    for (const value of levels) expect(20 * Math.log10(value)).toBeCloseTo(-20, 0)
    const spike = burst(0.01, 0, 1, 0)
    spike[8000] = 1
    expect(Math.max(...finishRecording(spike, sampleRate))).toBeLessThanOrEqual(0.6001)
  })

  test('refuses silence', () =>
    expect(() => finishRecording(new Float32Array(1000), sampleRate)).toThrow('silent'))
})

describe('an Ogg Opus stream', () => {
  test('comes back from a decoder as long as it went in and not shifted', async () => {
    const { samples } = await flite('rms', 'eighteen point two seconds')
    const decoded = await decodeOpus(encodeOggOpus(samples, sampleRate, 7))
    expect(decoded.length).toBe(samples.length)
    const likeness = (shift: number) =>
      samples.reduce((sum, sample, index) => sum + sample * (decoded[index + shift] ?? 0), 0) /
      (level(samples) * level(decoded) * samples.length)
    const shifts = Array.from({ length: 81 }, (_, index) => index - 40)
    const best = shifts.reduce((one, other) => (likeness(other) > likeness(one) ? other : one))
    expect(Math.abs(best)).toBeLessThanOrEqual(1)
    expect(likeness(best)).toBeGreaterThan(0.9)
  })

  test('has pages of a second at most, and says how long it is', async () => {
    const file = encodeOggOpus(
      new Float32Array(3.5 * sampleRate).map((_, index) => Math.sin(index / 9) / 4),
      sampleRate,
      1,
    )
    const { packets, preSkip, granules } = oggPackets(file)
    expect(packets.length).toBe(176)
    expect(granules - preSkip).toBe(3.5 * 48_000)
    expect(Buffer.from(file).toString('latin1').split('OggS').length - 1).toBe(2 + 4)
  })
})

describe('recording a voice', () => {
  const digits = Object.fromEntries(Object.entries(numbers).filter(([key]) => key !== ''))
  const language = (sentences: Language['sentences'], vocabulary: string[] = []): RecordedLanguage => ({
    name: 'en',
    numbers: { ...digits, ...shortNumbers },
    sentences,
    vocabulary,
  })
  // every number the same word: the synthesiser has three phrases to speak instead of a hundred
  const shortNumbers = Object.fromEntries(Object.keys(numbers).map((key) => [key, 'one']))

  test('holds each phrase once, reuses what has not changed, and knows when it is up to date', async () => {
    let spoken = 0
    const counting: Synthesise = (voice, text) => {
      spoken++
      return flite(voice, text)
    }
    const first = language({ a: 'Grind.', b: 'Take {n} grams.', c: { long: 'Grind.', short: '' } })
    const before = await renderVoice(counting, first, 'man', {})
    expect(Object.keys(before.index.clips)).toEqual(expect.arrayContaining(['Grind', 'Take', 'grams', 'one']))
    expect(spoken).toBe(Object.keys(before.index.clips).length)
    expect(isUpToDate(before.index, first, {})).toBe(true)

    const next = language({ a: 'Grind.', b: 'Take {n} pounds.' }, ['grind'])
    expect(isUpToDate(before.index, next, {})).toBe(false)
    spoken = 0
    const after = await renderVoice(counting, next, 'man', {}, before)
    const added = Object.keys(after.index.clips).filter((phrase) => !before.index.clips[phrase])
    // a word of the grammars, and the letters that words are spelled with
    expect(added).toEqual(['O', 'P', 'U', 'grind', 'pounds'])
    expect(spoken).toBe(added.length)
    const bytes = ({ index, sound }: typeof after, phrase: string) => {
      const clip = index.clips[phrase]
      return clip && sound.slice(clip.offset, clip.offset + clip.bytes)
    }
    expect(bytes(after, 'Grind')).toEqual(bytes(before, 'Grind'))
    expect(bytes(after, 'grams')).toBeUndefined()

    spoken = 0
    await renderVoice(counting, next, 'man', { pounds: 'pownds' }, after)
    expect(spoken).toBe(Object.keys(after.index.clips).length)
  })
})

test('a broken index is refused with what is wrong', () => {
  const good = {
    voice: 'man',
    language: 'en',
    recipe: 'r',
    bytes: 10,
    clips: { a: { offset: 0, bytes: 10, seconds: 1 } },
  }
  expect(readVoiceIndex(good)).toEqual(good)
  expect(() => readVoiceIndex({ ...good, bytes: 9 })).toThrow('"a" lies outside the file of 9 bytes')
  expect(() => readVoiceIndex({ ...good, voice: 'bear' })).toThrow('voice')
  expect(() => readVoiceIndex({ ...good, clips: { a: { offset: -1, bytes: 10, seconds: 1 } } })).toThrow(
    'clips.a.offset',
  )
})
