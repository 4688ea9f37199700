import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { clipsOf } from '../../../audio-fixtures/clips.ts'
import { speechSpan, type Span } from '../../../audio-fixtures/energy.ts'
import { decodeOpus } from '../../../audio-fixtures/opus.ts'
import phrases from '../../../audio-fixtures/phrases.json' with { type: 'json' }
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import openTogether from '../../../grammar/openTogether.json' with { type: 'json' }
import { commandNetwork, type Language } from '../../../grammar/language.ts'
import { understanding } from '../../../grammar/understand.ts'
import { wordsOf } from '../../../grammar/vocabulary.ts'
import type { Meaning } from '../../../src/messages/command.ts'
import { grammarNames, type GrammarName } from '../../../src/messages/grammarName.ts'
import type { Opened } from '../../harness/hearingPage/trials.ts'
import heldOutSpeakers from './heldOutSpeakers.json' with { type: 'json' }

/**
 * Synthetic voices that the embedded model was not trained on, and for each set of real speech the speakers it was
 * not trained on (`acoustic-model/train/splits.py`); of other sets it has seen nobody.
 */
const unseenVoices = ['awb', 'us-f3']
const unseenSpeakers: Readonly<Record<string, readonly string[]>> = heldOutSpeakers

/** Something said, and what should come of it. */
export interface Recording {
  set: string
  speaker: string
  text: string
  /** -1..1 at 16 kHz */
  samples: () => Promise<Float32Array>
  open: Opened
  expected:
    | { kind: 'command'; meaning: Meaning }
    /** the grammar is only words that may follow one another: what counts is that each is heard */
    | { kind: 'words' }
    /** no command: nothing may come of it */
    | { kind: 'talk' }
  /** what the ear obeys while the tool speaks; only where it is the tool's own speech */
  overOwnSpeech?: readonly GrammarName[]
}

/** What the bar opens together, each set in turn for talk to be held against. */
const states = openTogether.sets as readonly GrammarName[][]

/** A state of the bar in which a grammar is open, with all that is open beside it; "stop" is for while a shot pours. */
function stateWith(grammar: GrammarName): GrammarName[] {
  return states.find((open) => open.includes(grammar === 'stop' ? 'pouring' : grammar)) ?? [grammar]
}

/** Clips of `audio-fixtures/`: every phrase under the grammar of its state. */
export async function syntheticCommands(language: Language, share: number): Promise<Recording[]> {
  const all = await Promise.all(
    unseenVoices.map(async (voice) => {
      const clips = await clipsOf(voice)
      return phrases.flatMap(({ text, grammar }): Recording[] => {
        const samples = clips.get(text)?.samples
        const meaning = meaningOf(language, [grammar as GrammarName], text)
        if (samples === undefined || meaning === null) return []
        return [
          {
            set: 'synthetic commands',
            speaker: voice,
            text,
            samples: () => Promise.resolve(samples),
            open: { grammars: stateWith(grammar as GrammarName) },
            expected: { kind: 'command', meaning },
          },
        ]
      })
    }),
  )
  return thinned(all.flat(), share)
}

/** What a folder of real speech holds: Opus files, and a TSV of path, speaker and transcript for each set. */
interface Row {
  path: string
  speaker: string
  text: string
}

function rowsOf(folder: string, set: string): Row[] {
  const [, ...lines] = readFileSync(join(folder, `${set}.tsv`), 'utf8')
    .trim()
    .split('\n')
  const rows = lines.flatMap((line) => {
    const [path, speaker, text] = line.split('\t')
    return path === undefined || speaker === undefined || text === undefined ? [] : [{ path, speaker, text }]
  })
  return rows.filter(({ speaker }) => unseenSpeakers[set]?.includes(speaker) ?? true)
}

const readOpus = (folder: string, path: string) => async () =>
  decodeOpus(new Uint8Array(readFileSync(join(folder, path))))

/** Real utterances that are a whole command of the tool: "yes", "stop", "repeat". */
export function realCommands(language: Language, folder: string, set: string, share: number): Recording[] {
  const spoken = grammarNames.filter((name) => language.grammars.includes(name))
  const found = rowsOf(folder, set).flatMap(({ path, speaker, text }): Recording[] => {
    for (const grammar of spoken) {
      const meaning = meaningOf(language, [grammar], text)
      if (meaning === null) continue
      return [
        {
          set: `${set} commands`,
          speaker,
          text,
          samples: readOpus(folder, path),
          open: { grammars: stateWith(grammar) },
          expected: { kind: 'command', meaning },
        },
      ]
    }
    return []
  })
  return thinned(found, share)
}

/** Real strings of numbers ("one five two one seven"), held against every number word that may follow any other. */
export function realNumbers(language: Language, folder: string, set: string, share: number): Recording[] {
  const words = wordsOf(commandNetwork(language, ['number' as GrammarName])).filter((word) => word !== 'half')
  const known = new Set(words)
  const found = rowsOf(folder, set).filter(({ text }) => text.split(' ').every((word) => known.has(word)))
  return thinned(found, share).map(({ path, speaker, text }) => ({
    set: `${set} numbers`,
    speaker,
    text,
    samples: readOpus(folder, path),
    open: { phrases: words },
    expected: { kind: 'words' },
  }))
}

/** Real speech that is no command, against each state in turn. */
export function talk(language: Language, folder: string, set: string, share: number): Recording[] {
  const spoken = grammarNames.filter((name) => language.grammars.includes(name))
  const found = rowsOf(folder, set).filter(({ text }) => meaningOf(language, spoken, text) === null)
  return thinned(found, share).map(({ path, speaker, text }, at) => ({
    set: `${set} talk`,
    speaker,
    text,
    samples: readOpus(folder, path),
    open: { grammars: [...(states[at % states.length] ?? [])] },
    expected: { kind: 'talk' },
  }))
}

function meaningOf(language: Language, open: readonly GrammarName[], text: string): Meaning | null {
  const understood = understanding(language, open, { overlookEdges: false })(text.split(' '))
  return understood.kind === 'command' ? understood.meaning : null
}

/** Evenly spread over a list, the same ones each time. */
function thinned<T>(all: readonly T[], share: number): T[] {
  return all.filter((_, at) => Math.floor((at + 1) * share) > Math.floor(at * share))
}

/** Where speech lies in a recording, by its energy; null where noise or a tight cut hides it. */
export function energySpan(samples: Float32Array): Span | null {
  const span = speechSpan(samples)
  const seconds = samples.length / sampleRate
  return span.onset < 0.03 || span.end > seconds - 0.03 ? null : span
}
