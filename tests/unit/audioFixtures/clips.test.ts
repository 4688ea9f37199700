import { readFileSync } from 'node:fs'
import * as v from 'valibot'
import { describe, expect, test } from 'vitest'
import { clipFile, ClipIndex, clipsOf, speechLevel } from '../../../audio-fixtures/clips.ts'
import { rms, speechSpan } from '../../../audio-fixtures/energy.ts'
import { decodeOpus, oggPackets } from '../../../audio-fixtures/opus.ts'
import { phrases } from '../../../audio-fixtures/phrases.ts'
import { voices } from '../../../audio-fixtures/voices.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { understanding } from '../../../grammar/understand.ts'

const read = (voice: string) => new Uint8Array(readFileSync(clipFile(voice, 'opus')))
const index = (voice: string) => v.parse(ClipIndex, JSON.parse(readFileSync(clipFile(voice, 'json'), 'utf8')))

describe.each(Object.keys(voices))('the clips of %s', (voice) => {
  test('speak every phrase, between silences and at one level', async () => {
    const pack = await decodeOpus(read(voice))
    expect(new Set(index(voice).map((clip) => clip.text))).toEqual(
      new Set([...index(voice).map((clip) => clip.text), ...phrases.map((phrase) => phrase.text)]),
    )
    for (const { text, onset, end } of index(voice)) {
      const around = pack.slice(Math.round((onset - 0.1) * sampleRate), Math.round((end + 0.1) * sampleRate))
      const span = speechSpan(around)
      expect(Math.abs(span.onset - 0.1), text).toBeLessThanOrEqual(0.005)
      expect(Math.abs(span.end - (end - onset) - 0.1), text).toBeLessThanOrEqual(0.005)
      // Opus at this rate loses some of the hiss of "shift"
      const speech = rms(pack, Math.round(onset * sampleRate), Math.round(end * sampleRate))
      expect(Math.abs(20 * Math.log10(speech / speechLevel)), text).toBeLessThan(1.5)
    }
  })
})

describe('a clip', () => {
  test('that a voice never spoke is asked for in vain', async () => {
    expect((await clipsOf('slt')).has('a text nobody spoke')).toBe(false)
  })
})

describe('Opus files', () => {
  test('are as long as their last page says (RFC 7845, section 4.4)', async () => {
    const { preSkip, granules } = oggPackets(read('slt'))
    expect(await decodeOpus(read('slt'))).toHaveLength(Math.round((granules - preSkip) / 3))
  })

  test('that are broken are refused', async () => {
    const torn = read('slt').slice(3)
    await expect(decodeOpus(torn)).rejects.toThrow('no Ogg page at byte 0')
  })
})

describe('the phrases', () => {
  const language = readLanguage('en')
  test.each(phrases)('"$text" means what the fixtures say', ({ text, grammar, intent, slots }) => {
    const understand = understanding(language, [grammar])
    expect(understand(text.split(' '))).toMatchObject({ kind: 'command', meaning: { intent, slots } })
  })
})
