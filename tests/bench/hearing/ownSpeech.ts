import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { decodeOpus } from '../../../audio-fixtures/opus.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import openTogether from '../../../grammar/openTogether.json' with { type: 'json' }
import { teaches } from '../../../grammar/teaches.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'
import { readLanguage } from '../../../src/speaking/render/readLanguage.ts'
import { readVoiceIndex } from '../../../src/speaking/voiceIndex.ts'
import { splitSentence, wordSentence } from '../../../src/speaking/wording.ts'
import type { Recording } from './corpus.ts'

const folder = join(import.meta.dirname, '../../../public/voices/en')
const states = openTogether.sets as readonly GrammarName[][]

/** What the ear obeys over the tool's own speech when the browser does not cancel the echo. */
const withoutCancellation: readonly GrammarName[] = ['stop', 'handoff']

/**
 * Everything that the tool itself says, as its microphone would get it: every sentence with a number in each place,
 * held against each state in turn. Nothing may come of it, neither where the echo comes back whole nor where the
 * browser cancels it and the ear obeys more.
 */
export function ownSpeech(share: number): Recording[] {
  const language = readLanguage('en')
  const index = readVoiceIndex(JSON.parse(readFileSync(join(folder, 'man.json'), 'utf8')))
  const sound = readFileSync(join(folder, 'man.opus'))
  const samplesOf = async (phrase: string): Promise<Float32Array> => {
    const clip = index.clips[phrase]
    if (clip === undefined) throw new Error(`no recording of "${phrase}"`)
    return decodeOpus(new Uint8Array(sound.subarray(clip.offset, clip.offset + clip.bytes)))
  }
  return Object.entries(language.sentences).flatMap(([sentence, either], at): Recording[] => {
    if (Math.floor((at + 1) * share) === Math.floor(at * share)) return []
    const long = typeof either === 'string' ? either : either.long
    const values = Object.fromEntries(
      splitSentence(long).flatMap((piece) => (piece.kind === 'value' ? [[piece.name, 18.2]] : [])),
    )
    const { text, parts } = wordSentence(language, sentence, values, {
      detail: 'long',
      digits: false,
      spelled: false,
    })
    if (parts.length === 0) return []
    const open = states[at % states.length] ?? []
    const limited = open.filter((name) => withoutCancellation.includes(name))
    const recording = (set: string, obeyed: readonly GrammarName[]): Recording => ({
      set,
      speaker: sentence,
      text,
      samples: async () => {
        const pieces = await Promise.all(
          parts.map((part) =>
            'phrase' in part ? samplesOf(part.phrase) : new Float32Array(part.pause * sampleRate),
          ),
        )
        return Float32Array.from(pieces.flatMap((piece) => [...piece]))
      },
      open: { grammars: [...open] },
      expected: { kind: 'talk' },
      overOwnSpeech: obeyed,
    })
    return [
      recording('own speech', limited),
      recording('own speech cancelled', teaches(sentence) ? limited : open),
    ]
  })
}
