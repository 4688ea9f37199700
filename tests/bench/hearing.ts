import { appendFileSync, statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { sampleRate } from '../../audio-fixtures/wav.ts'
import type { Language } from '../../grammar/language.ts'
import { readLanguage } from '../../grammar/readLanguage.ts'
import { usualStrictness } from '../../src/hearing/judge.ts'
import { usualTuning } from '../../src/hearing/tuning.ts'
import { serveHearingPage } from '../harness/openHearingPage.ts'
import type { Utterance } from '../harness/hearingPage/trials.ts'
import { openBench } from './hearing/browser.ts'
import { conditions, make, noises, type Condition, type Made } from './hearing/conditions.ts'
import { realCommands, realNumbers, syntheticCommands, talk, type Recording } from './hearing/corpus.ts'
import { hasPeer, runPeer } from './hearing/pocketsphinx.ts'
import { ownSpeech } from './hearing/ownSpeech.ts'
import { line, rounded, share, summary } from './hearing/report.ts'
import { sentences } from './hearing/sentences.ts'
import { scoreOf, type Outcome } from './hearing/score.ts'
import { isProcessingName, processings, throughMicrophone } from './hearing/throughMicrophone.ts'

const help = `npm run bench -- hearing [--speech DIR] [--share 0.2] [--conditions "clean,15 dB"] [--sets "an4 commands"]
  [--dry 0.12] [--voice 0.5] [--hold 0.1] [--model model/en.tar.gz] [--browser none]
  [--no-peer] [--dump FILE] [--verbose]
npm run bench -- hearing --set FILE.tsv --grammar FILE.jsgf [--share 1] [--conditions "clean,9 dB"] [--model model/en.tar.gz]

Commands and talk, with noise and in a room, through the page's whole hearing path.
  --speech  real speech: Opus files, and for each set a TSV of path, speaker and transcript; without it only the
            synthetic voices of audio-fixtures/ speak
  --share   how much of each set to use
  --dry, --voice  see src/hearing/tuning.ts
  --hold    seconds a stop-class word must stand still to be obeyed at once, instead of the ear's own; below 0: never
  --model   below public/
  --browser plays every sound through Chromium's own microphone first, in real time, its echo cancellation on and of its
            noise suppression and gain control: none, suppression, gain or both
  --set     whole sentences of any such set, each under one grammar, through the decoder without a browser; words that the tool does
            not know are looked up in Debian's pocketsphinx-en-us
  --dump    writes what was heard in each trial, a JSON object a line`

/** Small sets are heard in one noise after another until there are so many trials, or every noise was had. */
const enough = 100

/** Degrees of sureness to compare, beside the one in use. */
const confidences = [0, 0.3, 0.4, 0.5, 0.7, 0.9]

interface Trial {
  recording: Recording
  condition: Condition
  made: Made
  utterances: readonly Utterance[]
}

export default async function hearing(args: readonly string[]): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      help: { type: 'boolean', default: false },
      speech: { type: 'string' },
      share: { type: 'string', default: '0.2' },
      conditions: { type: 'string', default: conditions.map(({ name }) => name).join() },
      sets: { type: 'string' },
      dry: { type: 'string', default: `${usualTuning.dryShare}` },
      voice: { type: 'string', default: `${usualTuning.voice}` },
      hold: { type: 'string' },
      model: { type: 'string', default: 'model/en.tar.gz' },
      browser: { type: 'string' },
      set: { type: 'string' },
      grammar: { type: 'string' },
      peer: { type: 'boolean', default: true },
      dump: { type: 'string' },
      verbose: { type: 'boolean', default: false },
    },
    allowNegative: true,
  })
  if (values.help) return console.log(help)
  if (values.set !== undefined) {
    if (values.grammar === undefined) throw new RangeError('--set needs --grammar FILE.jsgf')
    const model = fileURLToPath(new URL(`../../public/${values.model}`, import.meta.url))
    return sentences(values.set, values.grammar, model, values.conditions.split(','), Number(values.share))
  }

  const { browser } = values
  if (browser !== undefined && !isProcessingName(browser))
    throw new RangeError(`--browser is one of ${Object.keys(processings).join(', ')}`)

  const language = readLanguage('en')
  const sets = await readSets(language, values.speech ?? null, Number(values.share), values.sets?.split(','))
  const options = {
    tuning: { ...usualTuning, dryShare: Number(values.dry), voice: Number(values.voice) },
    ...(values.hold === undefined ? {} : { hold: Number(values.hold) < 0 ? null : Number(values.hold) }),
  }
  const choice = await noises(values.speech ?? null)
  const kinds = Object.keys(choice).length
  const withPeer = values.peer && hasPeer()
  const site = await serveHearingPage()
  const bench = await openBench(site, values.model, options)
  const results: object[] = []
  const all: Trial[] = []
  try {
    for (const condition of conditions.filter(({ name }) => values.conditions.split(',').includes(name))) {
      for (const [set, members] of sets) {
        const isTalk = members.every(({ expected }) => expected.kind === 'talk')
        if (!isWorthwhile(set, isTalk, condition)) continue
        const rounds =
          condition.ratio === null || isTalk ? 1 : Math.min(kinds, Math.ceil(enough / members.length))
        const recordings: Recording[] = []
        const made: Made[] = []
        for (let round = 0; round < rounds; round++) {
          for (const [at, recording] of members.entries()) {
            recordings.push(recording)
            made.push(await make(await recording.samples(), condition, choice, at + round))
          }
        }
        const played = browser ? await throughMicrophone(site, made, processings[browser]) : null
        const trials: Trial[] = []
        const before = await bench.cost()
        for (const [at, sound] of (played?.made ?? made).entries()) {
          const recording = recordings[at] as Recording
          const { utterances } = await bench.run(sound.samples, recording.open, options)
          trials.push({ recording, condition, made: sound, utterances })
        }
        const after = await bench.cost()
        const seconds = lengthOf(trials)
        const outcomes = trials.map((trial) => outcomeOf(language, trial))
        const result = {
          set,
          condition: condition.name,
          ...summary(outcomes, seconds, isTalk),
          cpu: rounded((after.cpuSeconds - before.cpuSeconds) / seconds),
          ...(played ? { played: played.account } : {}),
          ...(withPeer ? { peer: peerSummary(language, trials, isTalk) } : {}),
        }
        console.log(line(result))
        if (values.verbose) trials.forEach((trial, at) => tellFailure(trial, outcomes[at]))
        if (values.dump !== undefined) for (const trial of trials) dump(values.dump, trial)
        results.push(result)
        all.push(...trials)
      }
    }
    const { megabytes } = await bench.cost()
    const path = fileURLToPath(new URL(`../../public/${values.model}`, import.meta.url))
    console.log(
      JSON.stringify({
        benchmark: 'hearing',
        share: Number(values.share),
        browser,
        options,
        strictness: { used: usualStrictness, compared: compareConfidences(language, all) },
        model: { name: values.model, megabytes: rounded(statSync(path).size / 1e6) },
        loading: { cold: rounded(bench.loading.cold), warm: rounded(bench.loading.warm) },
        memory: rounded(megabytes),
        results,
      }),
    )
  } finally {
    await bench.close()
    await site.close()
  }
}

async function readSets(
  language: Language,
  speech: string | null,
  part: number,
  wanted: readonly string[] | undefined,
): Promise<Map<string, Recording[]>> {
  const real = (folder: string): Recording[] => [
    ...realCommands(language, folder, 'an4', part),
    ...realNumbers(language, folder, 'an4', part),
    ...realNumbers(language, folder, 'speechocean762', part),
    ...talk(language, folder, 'librispeech_devclean_half', part),
    ...talk(language, folder, 'commonvoice100', part),
    ...talk(language, folder, 'speechocean762', part),
  ]
  const recordings = [
    ...(await syntheticCommands(language, part)),
    ...ownSpeech(part),
    ...(speech === null ? [] : real(speech)),
  ]
  const sets = new Map<string, Recording[]>()
  for (const recording of recordings) {
    if (wanted?.includes(recording.set) ?? true)
      sets.set(recording.set, [...(sets.get(recording.set) ?? []), recording])
  }
  return sets
}

/** Talk need not be made hard to hear: it must not act where it is easiest to mistake. */
function isWorthwhile(set: string, isTalk: boolean, { name }: Condition): boolean {
  if (set === 'own speech') return name === 'clean'
  if (set === 'own speech cancelled') return name === 'quiet'
  return !isTalk || name === 'clean' || name === '15 dB'
}

const outcomeOf = (
  language: Language,
  { recording, utterances, made }: Trial,
  strictness = usualStrictness,
): Outcome => scoreOf(language, recording, utterances, made.span, strictness)

const lengthOf = (trials: readonly Trial[]): number =>
  trials.reduce((sum, { made }) => sum + made.samples.length / sampleRate, 0)

/** The same trials judged more and less strictly. */
function compareConfidences(language: Language, trials: readonly Trial[]): object[] {
  const said = trials.filter(({ recording }) => recording.expected.kind === 'command')
  const talked = trials.filter(
    ({ recording }) => recording.expected.kind === 'talk' && !recording.overOwnSpeech,
  )
  return confidences.map((confidence) => {
    const strictness = { ...usualStrictness, confidence }
    const outcomes = said.map((trial) => outcomeOf(language, trial, strictness))
    const acted = talked.reduce((sum, trial) => sum + outcomeOf(language, trial, strictness).commands, 0)
    return {
      confidence,
      right: share(outcomes, 'right'),
      wrong: share(outcomes, 'wrong'),
      falsePerHour: rounded((3600 * acted) / Math.max(1, lengthOf(talked)), 1),
    }
  })
}

/** What pocketsphinx makes of the same recordings. */
function peerSummary(language: Language, trials: readonly Trial[], isTalk: boolean): object {
  const { words, took } = runPeer(
    language,
    trials.map(({ made, recording }) => ({ samples: made.samples, open: recording.open })),
  )
  const outcomes = trials.map(({ recording }, at) => {
    const heard = words[at] ?? []
    const utterances = heard.length === 0 ? [] : [{ words: heard, until: null }]
    return scoreOf(language, recording, utterances, null, usualStrictness)
  })
  const seconds = lengthOf(trials)
  return { ...summary(outcomes, seconds, isTalk), cpu: rounded(took / seconds) }
}

function tellFailure({ recording, made, utterances }: Trial, outcome: Outcome | undefined): void {
  if (outcome?.verdict === (recording.expected.kind === 'talk' ? 'missed' : 'right')) return
  const heard = utterances.map(({ words, eager }) => {
    const all = words.map(({ word, confidence }) => `${word} ${confidence.toFixed(2)}`)
    return `${all.join(' ')}${eager ? ' (early)' : ''}`
  })
  console.log(
    `  ${outcome?.verdict}: ${recording.speaker} "${recording.text}" in ${made.noise}: ${heard.join(' | ')}`,
  )
}

function dump(file: string, { recording, condition, made, utterances }: Trial): void {
  const trial = { ...recording, condition: condition.name, noise: made.noise, span: made.span, utterances }
  appendFileSync(file, `${JSON.stringify(trial)}\n`)
}
