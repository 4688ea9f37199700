import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { decodeOpus } from '../../audio-fixtures/opus.ts'
import { encodeWav } from '../../audio-fixtures/wav.ts'
import numbers from '../../grammar/en/numbers.json'
import { everyNumberPhrase } from '../../src/speaking/numberWords.ts'
import { stretchTime } from '../../src/speaking/timeStretch.ts'
import { readVoiceIndex, voices, type VoiceName } from '../../src/speaking/voiceIndex.ts'
import { openSpeakingPage, serveSpeakingPage } from '../harness/openSpeakingPage.ts'

const help = `npm run bench -- speaking [--every 4]

How well the recordings are understood by an independent recogniser (Debian's pocketsphinx with its own general English
model), what slowing them down changes in that, and how soon a sentence sounds in Chromium.
--every N takes every Nth sentence.`

const folder = join(import.meta.dirname, '../../public/voices/en')

/** Words as the recogniser writes them. */
const wordsOf = (text: string) =>
  text
    .toLowerCase()
    .replace(/[^a-z' ]/g, ' ')
    .split(/\s+/)
    .filter(Boolean)

/** Fewest words to insert, delete or replace to turn one into the other (Levenshtein distance). */
function distance(one: readonly string[], other: readonly string[]): number {
  let row = other.map((_, index) => index + 1)
  row.unshift(0)
  for (const [index, word] of one.entries()) {
    const next = [index + 1]
    for (const [column, against] of other.entries())
      next.push(
        Math.min(
          (row[column] ?? 0) + (word === against ? 0 : 1),
          (row[column + 1] ?? 0) + 1,
          (next[column] ?? 0) + 1,
        ),
      )
    row = next
  }
  return row.at(-1) ?? 0
}

function openVoice(voice: VoiceName) {
  const index = readVoiceIndex(JSON.parse(readFileSync(join(folder, `${voice}.json`), 'utf8')))
  const sound = readFileSync(join(folder, `${voice}.opus`))
  return {
    index,
    samples(phrase: string) {
      const clip = index.clips[phrase]
      if (!clip) throw new Error(`no recording of ${phrase}`)
      return decodeOpus(new Uint8Array(sound.subarray(clip.offset, clip.offset + clip.bytes)))
    },
  }
}

/** Lets the recogniser write down recordings, one line each. */
function transcribe(recordings: readonly Float32Array[], grammar?: string): string[] {
  const work = mkdtempSync(join(tmpdir(), 'earshot-'))
  try {
    const names = recordings.map((samples, index) => {
      const quiet = new Float32Array(8000)
      const padded = Float32Array.from([...quiet, ...samples, ...quiet])
      writeFileSync(join(work, `${index}.wav`), encodeWav(padded))
      return `${index}`
    })
    writeFileSync(join(work, 'names'), names.join('\n'))
    if (grammar !== undefined) writeFileSync(join(work, 'grammar.jsgf'), grammar)
    execFileSync(
      'pocketsphinx_batch',
      [
        '-adcin',
        'yes',
        '-adchdr',
        '44',
        '-cepdir',
        work,
        '-cepext',
        '.wav',
        '-ctl',
        join(work, 'names'),
        '-hyp',
        join(work, 'heard'),
        '-hmm',
        '/usr/share/pocketsphinx/model/en-us/en-us',
        '-dict',
        '/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict',
        ...(grammar === undefined
          ? ['-lm', '/usr/share/pocketsphinx/model/en-us/en-us.lm.bin']
          : ['-jsgf', join(work, 'grammar.jsgf')]),
      ],
      { stdio: 'ignore' },
    )
    const heard = readFileSync(join(work, 'heard'), 'utf8').split('\n')
    return names.map((_, index) => (heard[index] ?? '').replace(/\s*\([^)]*\)\s*$/, ''))
  } finally {
    rmSync(work, { recursive: true })
  }
}

async function understood(voice: VoiceName, every: number) {
  const { index, samples } = openVoice(voice)
  const phrases = Object.keys(index.clips)
  const sentences = phrases
    .filter((phrase) => wordsOf(phrase).length >= 4)
    .filter((_, position) => position % every === 0)
  for (const speed of [1, 0.75, 1.25]) {
    const recordings = await Promise.all(
      sentences.map(async (phrase) => stretchTime(await samples(phrase), 16_000, speed)),
    )
    const heard = transcribe(recordings)
    const total = sentences.reduce((sum, phrase) => sum + wordsOf(phrase).length, 0)
    const wrong = sentences.reduce(
      (sum, phrase, at) => sum + distance(wordsOf(phrase), wordsOf(heard[at] ?? '')),
      0,
    )
    console.log(
      `${voice}, speed ${speed}: ${sentences.length} sentences, ${((100 * wrong) / total).toFixed(1)} % of ${total} words wrong`,
    )
  }
  const spoken = everyNumberPhrase(numbers).slice(0, 100)
  const grammar = `#JSGF V1.0;\ngrammar numbers;\npublic <number> = ${spoken.join(' | ')};\n`
  const heard = transcribe(await Promise.all(spoken.map(samples)), grammar)
  const wrong = spoken
    .filter((phrase, at) => heard[at] !== phrase)
    .map((phrase) => `${phrase} as ${heard[spoken.indexOf(phrase)]}`)
  console.log(
    `${voice}: ${100 - wrong.length} of 100 numbers right${wrong.length > 0 ? `; ${wrong.join(', ')}` : ''}`,
  )
}

async function latency() {
  const site = await serveSpeakingPage()
  const { page, close } = await openSpeakingPage(site)
  try {
    await page.evaluate(() => window.speakingPage.open())
    for (const speed of [1, 1.25]) {
      const delays = await page.evaluate(async (given) => {
        window.speakingPage.setSettings({ speed: given })
        const delays: number[] = []
        for (const sentence of ['tamp.prompt', 'tamp.prompt', 'shot.in-window', 'greeting.first'] as const) {
          const before = window.speakingPage.said.length
          const asked = window.speakingPage.now()
          window.speakingPage.perform({ kind: 'hush' }, { kind: 'say', sentence, priority: 'warning' })
          while (window.speakingPage.said.length === before) await new Promise((done) => setTimeout(done, 5))
          const said = window.speakingPage.said.at(-1)
          delays.push(1000 * ((said?.at ?? 0) - asked))
          await new Promise((done) =>
            setTimeout(done, 1000 * ((said?.until ?? 0) - window.speakingPage.now()) + 100),
          )
        }
        return delays
      }, speed)
      console.log(
        `speed ${speed}: from cue to sound, ms (budget 50): ${delays.map((one) => one.toFixed(0)).join(' ')}`,
      )
    }
  } finally {
    await close()
    await site.close()
  }
}

export default async function speaking(args: readonly string[]): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: { help: { type: 'boolean', default: false }, every: { type: 'string', default: '4' } },
  })
  if (values.help) return console.log(help)
  const every = Number(values.every)
  if (!(every >= 1)) throw new RangeError(`--every ${values.every}: 1 or more`)
  await latency()
  for (const voice of voices) {
    const { index } = openVoice(voice)
    console.log(`${voice}: ${(index.bytes / 1e6).toFixed(2)} MB`)
    await understood(voice, every)
  }
}
