/**
 * Speaks every phrase that the tests and sessions need and writes the clips with their texts and measured onsets.
 * Run it after adding a phrase or a session. Needs Debian's flite, espeak-ng, sox and opus-tools.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { type ClipIndex, clipFile, speechLevel } from './clips.ts'
import { rms, speechSpan } from './energy.ts'
import { decodeOpus, encodeOpus } from './opus.ts'
import { phrases } from './phrases.ts'
import { readSession, sessionNames } from './session.ts'
import { synthesise } from './synthesise.ts'
import { type Voice, voices } from './voices.ts'
import { sampleRate } from './wav.ts'

/** Silence between the clips of a file, seconds: the codec's echoes die away in it. */
const gap = 0.3

mkdirSync(new URL('./clips/', import.meta.url), { recursive: true })
const sessions = sessionNames.map(readSession)

for (const [name, voice] of Object.entries(voices)) {
  const said = sessions.flatMap((session) =>
    session.lines.flatMap((line) =>
      'say' in line && (line.voice ?? session.voice) === name ? [line.say] : [],
    ),
  )
  const texts = [...new Set([...phrases.map((phrase) => phrase.text), ...said])]
  const { samples, index } = pack(voice, texts)
  const opus = encodeOpus(samples)
  const measured = remeasured(index, await decodeOpus(opus))
  writeFileSync(clipFile(name, 'opus'), opus)
  writeFileSync(
    clipFile(name, 'json'),
    `[\n${measured.map((clip) => `  ${JSON.stringify(clip)}`).join(',\n')}\n]\n`,
  )
  console.log(`${name} (${voice.sounds}): ${texts.length} clips, ${opus.length} bytes`)
}

/** Puts the texts one behind another, all at the same speech level. */
function pack(voice: Voice, texts: readonly string[]): { samples: Float32Array; index: ClipIndex } {
  const silence = new Float32Array(gap * sampleRate)
  const pieces = [silence]
  const index: ClipIndex = []
  let length = silence.length
  for (const text of texts) {
    const whole = synthesise(voice, text)
    const span = speechSpan(whole)
    const speech = whole.slice(Math.round(span.onset * sampleRate), Math.round(span.end * sampleRate))
    const gain = speechLevel / rms(speech)
    index.push({ text, onset: length / sampleRate, end: (length + speech.length) / sampleRate })
    pieces.push(
      speech.map((sample) => sample * gain),
      silence,
    )
    length += speech.length + silence.length
  }
  const samples = new Float32Array(length)
  let at = 0
  for (const piece of pieces) {
    samples.set(piece, at)
    at += piece.length
  }
  return { samples, index }
}

/** The onsets as the decoded file has them: what tests hear is the truth, not what went into the encoder. */
function remeasured(index: ClipIndex, decoded: Float32Array): ClipIndex {
  return index.map(({ text, onset, end }) => {
    const start = onset - gap / 2
    const around = decoded.slice(Math.round(start * sampleRate), Math.round((end + gap / 2) * sampleRate))
    const span = speechSpan(around)
    const seconds = (time: number) => Number((start + time).toFixed(4))
    return { text, onset: seconds(span.onset), end: seconds(span.end) }
  })
}
