import type { Language } from '../../../grammar/language.ts'
import { unknownWord } from '../../../grammar/understand.ts'
import { judge, type Strictness } from '../../../src/hearing/judge.ts'
import { openGrammars } from '../../../src/hearing/openGrammars.ts'
import type { VoiceBeside, Word } from '../../../src/hearing/protocol.ts'
import { readingsOf, type Hypothesis } from '../../../src/hearing/readings.ts'
import type { Meaning } from '../../../src/messages/command.ts'
import { obeyedAs } from '../../../src/messages/utterance.ts'
import type { Opened } from '../../harness/hearingPage/trials.ts'
import type { Recording } from './corpus.ts'

/** One utterance that a recogniser heard in a trial. */
export interface Heard {
  words: readonly Word[]
  /** all that it may have been; left out by a recogniser that says no more than the words */
  hypotheses?: readonly Hypothesis[]
  /** when it was told, seconds from the trial's start; null where that is not known */
  until: number | null
  /** told before the silence after it */
  eager?: boolean
  beside?: readonly VoiceBeside[]
}

export interface Outcome {
  verdict: 'right' | 'wrong' | 'missed'
  /** commands that came of it */
  commands: number
  /** words to hear, and how many of them were heard; only where words count */
  words: { all: number; right: number }
  heard: string
  /** commands obeyed before the speaker had ended that are not what was said */
  hasty: number
  /** whether the command is a stop-class one */
  isUrgent: boolean
  /** seconds from the end of the speech to the command, and of the command's onset against the speech's */
  latency: number | null
  onsetError: number | null
}

/** Judges what was heard as the ear does, and holds it against what was said. */
export function scoreOf(
  language: Language,
  { open, expected, text, overOwnSpeech }: Recording,
  heard: readonly Heard[],
  span: { onset: number; end: number } | null,
  strictness: Strictness,
): Outcome {
  const all = heard.flatMap(({ words }) => words.map(({ word }) => word))
  const none = {
    words: { all: 0, right: 0 },
    heard: all.join(' '),
    hasty: 0,
    isUrgent: false,
    latency: null,
    onsetError: null,
  }
  if (expected.kind === 'words') {
    const wanted = text.split(' ')
    const right =
      wanted.length -
      distance(
        wanted,
        all.filter((word) => word !== unknownWord),
      )
    const verdict = right === wanted.length ? 'right' : all.length === 0 ? 'missed' : 'wrong'
    return { ...none, verdict, commands: 0, words: { all: wanted.length, right: Math.max(0, right) } }
  }

  const grammars = grammarsFor(language, overOwnSpeech ? { grammars: [...overOwnSpeech] } : open)
  const commands = heard.flatMap(({ words, hypotheses, until, eager = false, beside = [] }) => {
    const judged = judge(words, beside, grammars.open, strictness)
    if (hypotheses === undefined)
      return judged.kind === 'command' ? [{ meaning: judged.meaning, onset: judged.onset, until, eager }] : []
    const utterance = {
      readings: readingsOf(hypotheses, grammars, [], (time) => time),
      heard: judged.heard,
      onset: judged.onset,
      end: judged.end,
      alone: judged.kind === 'command' || judged.reason !== 'among talk',
      overOwnSpeech: overOwnSpeech !== undefined,
    }
    const command = obeyedAs(utterance)
    if (command === null) return []
    const { intent, slots } = command
    return [{ meaning: { intent, slots } as Meaning, onset: command.onset, until, eager }]
  })
  const wanted = expected.kind === 'command' ? JSON.stringify(expected.meaning) : null
  const isWanted = ({ meaning }: { meaning: Meaning }): boolean => JSON.stringify(meaning) === wanted
  const hasty = commands.filter((command) => command.eager && !isWanted(command)).length
  const [first] = commands
  if (first === undefined || expected.kind === 'talk') {
    return { ...none, verdict: first === undefined ? 'missed' : 'wrong', commands: commands.length, hasty }
  }
  return {
    ...none,
    verdict: commands.every(isWanted) ? 'right' : 'wrong',
    commands: commands.length,
    hasty,
    isUrgent: expected.meaning.intent === 'stop pour' || expected.meaning.intent === 'hush',
    latency: span && first.until !== null ? first.until - span.end : null,
    onsetError: span && first.onset - span.onset,
  }
}

const understood = new Map<string, ReturnType<typeof openGrammars>>()
function grammarsFor(language: Language, open: Opened) {
  if ('phrases' in open) throw new Error('bare phrases have no commands')
  const key = open.grammars.join()
  const known = understood.get(key) ?? openGrammars(language, open.grammars, false)
  understood.set(key, known)
  return known
}

/** Words to put in, take out or change to get from one to the other (Levenshtein). */
function distance(from: readonly string[], to: readonly string[]): number {
  let row = Array.from({ length: to.length + 1 }, (_, i) => i)
  from.forEach((word, i) => {
    const next = [i + 1]
    to.forEach((other, j) => {
      next.push(Math.min((row[j] ?? 0) + (word === other ? 0 : 1), (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1))
    })
    row = next
  })
  return row.at(-1) ?? 0
}

/** The value below which a share of the numbers lie. */
export function quantile(numbers: readonly number[], share: number): number | null {
  const sorted = numbers.toSorted((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? null
}
