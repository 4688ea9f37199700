import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { decodeOpus } from '../../../audio-fixtures/opus.ts'
import { level } from '../../../src/speaking/render/finish.ts'
import { languageCodes } from '../../../grammar/readLanguage.ts'
import { readLanguage } from '../../../src/speaking/render/readLanguage.ts'
import { readVoiceIndex, voices } from '../../../src/speaking/voiceIndex.ts'
import { everyPhrase } from '../../../src/speaking/wording.ts'

const folder = join(import.meta.dirname, '../../../public/voices')
const languages = languageCodes()

describe.each(languages.flatMap((language) => voices.map((voice) => ({ language, voice }))))(
  'the recordings of $voice in $language (made by `npm run voices`)',
  async ({ language, voice }) => {
    const index = readVoiceIndex(JSON.parse(await readFile(join(folder, language, `${voice}.json`), 'utf8')))
    const sound = await readFile(join(folder, language, `${voice}.opus`))
    const clips = Object.entries(index.clips)

    test('hold every phrase of the language, and the file is whole', async () => {
      expect(Object.keys(index.clips).sort()).toEqual(everyPhrase(readLanguage(language)))
      expect(sound.length).toBe(index.bytes)
    })

    test('are small enough for the whole app to stay under 20 MB with three voices', () => {
      expect(index.bytes).toBeLessThan(3.2e6)
    })

    test('decode to their stated length, at one level, without clipping', async () => {
      const some = clips.filter((_, position) => position % 12 === 0)
      for (const [phrase, { offset, bytes, seconds }] of some) {
        const samples = await decodeOpus(new Uint8Array(sound.subarray(offset, offset + bytes)))
        expect(samples.length / 16_000, phrase).toBeCloseTo(seconds, 3)
        const decibels = 20 * Math.log10(level(samples))
        expect(decibels, phrase).toBeGreaterThan(-27)
        expect(decibels, phrase).toBeLessThan(-17)
        const peak = samples.reduce((highest, sample) => Math.max(highest, Math.abs(sample)), 0)
        expect(peak, phrase).toBeLessThan(0.75)
      }
    })
  },
)
