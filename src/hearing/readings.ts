import type { FitWords } from '../../grammar/fit.ts'
import { unknownWord, type Understand, type Understood } from '../../grammar/understand.ts'
import type { Meaning } from '../messages/command.ts'
import { timesExpected, type Expectation, type Reading } from '../messages/utterance.ts'
import type { Word } from './protocol.ts'

/** One thing that a recogniser may have heard. */
export interface Hypothesis {
  words: readonly Word[]
  /** natural logarithm of how much likelier its words are than talk: above 0, likelier */
  score: number
}

/** What words may mean in the present state. */
export interface Grammars {
  /** those that are open */
  open: Understand
  /** all there are, open or not */
  all: Understand
  /** the open commands that differ by one word */
  fit: FitWords
}

/**
 * What weighs for and against a reading besides its sound, natural logarithms. Set by judgement, not measured. The only place for such weights; what is
 * expected comes with its own, see {@link Expectation}.
 */
const weights = {
  /** people rarely say what makes no sense in the present state */
  closed: -1.4,
  /** a word below this confidence may have been another: so much is the chance of one in two */
  unsureWord: 0.5,
  /** with a word missing it is rather talk than a command: never obeyed, but asked about */
  halfUnderstood: -0.7,
  /** beyond this the evidence is as good as certain */
  most: 7,
} as const

/** A recogniser that gives confidences and no scores: the least sure word decides. */
export function hypothesisOf(words: readonly Word[]): Hypothesis {
  const known = words.filter(({ word }) => word !== unknownWord)
  if (known.length === 0) return { words, score: -weights.most }
  const least = Math.min(...known.map(({ confidence }) => confidence))
  const chance = Math.min(Math.max(least, 1e-3), 1 - 1e-3)
  return { words, score: Math.log(chance / (1 - chance)) }
}

/** A reading before its probability: the words it rests on, and its evidence against talk, a natural logarithm. */
interface Weighed {
  meaning: Meaning
  open: boolean
  said: readonly Word[]
  phrase: string
  confidence: number
  evidence: number
  /** how much likelier it is to be said now than others that are open */
  times: number
}

/**
 * The commands that an utterance may have been, likeliest first. Whether it was a command at all is judged by the best
 * evidence alone, so that talk is not obeyed because a command is expected. Which command it was is judged by evidence
 * and expectation together.
 *
 * @param toBar from the time of words to the bar clock
 * @param onlyHalf overlooks commands that leave out a word: what is beside their words is as loud as they are
 */
export function readingsOf(
  hypotheses: readonly Hypothesis[],
  grammars: Grammars,
  expected: readonly Expectation[],
  toBar: (time: number) => number,
  onlyHalf = false,
): Reading[] {
  const found = new Map<string, Weighed>()
  for (const weighed of hypotheses.flatMap((hypothesis) => weigh(hypothesis, grammars, expected, onlyHalf))) {
    const key = JSON.stringify(weighed.meaning)
    const known = found.get(key)
    // the same command from two hypotheses: the better one stands for both
    if (!known || known.evidence < weighed.evidence) found.set(key, weighed)
  }
  const readings = [...found.values()]
  const odds = Math.exp(Math.max(...readings.map(({ evidence }) => evidence)))
  const shareOf = ({ evidence, times }: Weighed) => times * Math.exp(evidence)
  const sum = readings.reduce((total, reading) => total + shareOf(reading), 0)
  return readings
    .map((reading): Reading => {
      const { meaning, open, said, phrase, confidence } = reading
      const times = { onset: toBar(said[0]?.onset ?? 0), end: toBar(said.at(-1)?.end ?? 0) }
      return {
        command: { ...meaning, ...times, confidence, heard: phrase, source: 'voice' },
        open,
        probability: (odds / (1 + odds)) * (shareOf(reading) / sum),
      }
    })
    .sort((a, b) => b.probability - a.probability)
}

function weigh(
  { words, score }: Hypothesis,
  { open, all, fit }: Grammars,
  expected: readonly Expectation[],
  onlyHalf: boolean,
): Weighed[] {
  const evidence = Math.min(Math.max(score, -weights.most), weights.most)
  const texts = words.map(({ word }) => word)
  const isOpen = open(texts)
  const understood: Understood = onlyHalf
    ? { kind: 'rejected', reason: 'unknown word' }
    : isOpen.kind === 'command'
      ? isOpen
      : all(texts)
  const weighed: Weighed[] = []

  if (understood.kind === 'command') {
    const said = words.slice(understood.from, understood.to)
    weighed.push({
      meaning: understood.meaning,
      open: isOpen.kind === 'command',
      said,
      phrase: said.map(({ word }) => word).join(' '),
      confidence: leastOf(said),
      evidence: evidence + (isOpen.kind === 'command' ? 0 : weights.closed),
      times: timesExpected(understood.meaning, expected),
    })
  }

  // The word that is least sure may have been another. A command that was heard whole is not doubted further.
  const doubtful = leastOf(words) < weights.unsureWord ? leastSure(words) : -1
  const half = texts.map((word, index) => (index === doubtful ? unknownWord : word))
  if (understood.kind === 'command' && doubtful < 0) return weighed
  const fits = fit(half).map(({ meaning, words: whole }) => ({
    meaning,
    phrase: whole.join(' '),
    times: timesExpected(meaning, expected),
  }))
  const rest = doubtful < 0 ? evidence : hypothesisOf(words.filter((_, index) => index !== doubtful)).score
  for (const { meaning, phrase, times } of fits)
    weighed.push({
      meaning,
      open: true,
      said: words,
      phrase,
      confidence: leastOf(words),
      evidence: Math.min(rest, weights.halfUnderstood),
      times,
    })
  return weighed
}

const leastOf = (words: readonly Word[]) =>
  Math.min(1, ...words.filter(({ word }) => word !== unknownWord).map(({ confidence }) => confidence))

const leastSure = (words: readonly Word[]) =>
  words.findIndex(({ word, confidence }) => word !== unknownWord && confidence === leastOf(words))
