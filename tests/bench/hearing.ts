import { appendFileSync, statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { readLanguage } from '../../grammar/readLanguage.ts'
import { usualStrictness } from '../../src/hearing/judge.ts'
import { usualTuning } from '../../src/hearing/tuning.ts'
import { serveHearingPage } from '../harness/openHearingPage.ts'
import { openBench } from './hearing/browser.ts'
import { conditions, make, noises } from './hearing/conditions.ts'
import { realCommands, realNumbers, syntheticCommands, talk, type Recording } from './hearing/corpus.ts'
import { hasPeer, runPeer } from './hearing/pocketsphinx.ts'
import { quantile, scoreOf, type Outcome } from './hearing/score.ts'

const help = `npm run bench -- hearing [--speech DIR] [--share 0.2] [--conditions "clean,15 dB"] [--sets "an4 commands"]
                        [--dry 0.12] [--voice 0.5] [--hold 0.1] [--model model/en.tar.gz] [--no-peer] [--dump FILE] [--verbose]

Recordings of commands and of talk, with noise and in a room, through the page's whole hearing path. DIR holds
real speech: Opus files, and for each set a TSV of path, speaker and transcript; without it only the synthetic
voices of audio-fixtures/ speak. --share says how much of each set to use. --dump writes what was heard in each trial, a JSON object a line.`

/**
 * The sound goes through the very modules of the page (20 ms pieces of 48 kHz sound, suppression, resampling,
 * recogniser in its worker) in Chromium, as fast as they go. Not in it: the browser's own microphone and audio thread,
 * whose 20 ms pieces and the suppressor's 20 ms are added to the latency.
 */
const before = 0.02 + 0.02

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
      hold: { type: 'string', default: '0.1' },
      model: { type: 'string', default: 'model/en.tar.gz' },
      peer: { type: 'boolean', default: true },
      dump: { type: 'string' },
      verbose: { type: 'boolean', default: false },
    },
    allowNegative: true,
  })
  if (values.help) return console.log(help)

  const language = readLanguage('en')
  const share = Number(values.share)
  const speech = values.speech ?? null
  const wantedSets = values.sets?.split(',')
  const recordings = (
    await Promise.all([
      syntheticCommands(language, share),
      ...(speech === null
        ? []
        : [
            realCommands(language, speech, 'an4', share),
            realNumbers(language, speech, 'an4', share),
            realNumbers(language, speech, 'speechocean762', share),
            talk(language, speech, 'librispeech_devclean_half', share),
            talk(language, speech, 'commonvoice100', share),
            talk(language, speech, 'speechocean762', share),
          ]),
    ])
  )
    .flat()
    .filter(({ set }) => wantedSets === undefined || wantedSets.includes(set))

  const options = {
    tuning: { ...usualTuning, dryShare: Number(values.dry), voice: Number(values.voice) },
    hold: Number(values.hold) < 0 ? null : Number(values.hold),
  }
  const choice = await noises(speech)
  const site = await serveHearingPage()
  const bench = await openBench(site, values.model, options)
  const results: Record<string, unknown>[] = []
  const withPeer = values.peer && hasPeer()
  try {
    for (const condition of conditions.filter(({ name }) => values.conditions.split(',').includes(name))) {
      for (const [set, members] of grouped(recordings)) {
        // talk need not be made hard to hear: it must not act where it is easiest to mistake
        if (set.endsWith('talk') && condition.name !== 'clean' && condition.name !== '15 dB') continue
        const outcomes: Outcome[] = []
        const peer: {
          samples: Float32Array
          recording: Recording
          span: { onset: number; end: number } | null
        }[] = []
        const costBefore = await bench.cost()
        let seconds = 0
        for (const [at, recording] of members.entries()) {
          const made = await make(await recording.samples(), condition, choice, at)
          const outcome = await bench.run(made.samples, recording.open, options)
          seconds += outcome.seconds
          const scored = scoreOf(language, recording, outcome.utterances, made.span, usualStrictness)
          outcomes.push(scored)
          if (values.dump !== undefined)
            appendFileSync(
              values.dump,
              `${JSON.stringify({ ...recording, condition: condition.name, noise: made.noise, span: made.span, utterances: outcome.utterances })}\n`,
            )
          peer.push({ samples: made.samples, recording, span: made.span })
          if (
            values.verbose &&
            scored.verdict !== (recording.expected.kind === 'talk' ? 'missed' : 'right')
          ) {
            const words = outcome.utterances
              .map(({ words: all }) =>
                all.map(({ word, confidence }) => `${word} ${confidence.toFixed(2)}`).join(' '),
              )
              .join(' | ')
            console.log(
              `  ${scored.verdict}: ${recording.speaker} "${recording.text}" in ${made.noise}: ${words}`,
            )
          }
        }
        const costAfter = await bench.cost()
        const result = {
          set,
          condition: condition.name,
          ...summary(outcomes, seconds, set.endsWith('talk')),
          cpu: rounded((costAfter.cpuSeconds - costBefore.cpuSeconds) / seconds),
          ...(withPeer ? { peer: peerSummary(peer) } : {}),
        }
        results.push(result)
        console.log(line(result))
      }
    }
    const { megabytes } = await bench.cost()
    const path = fileURLToPath(new URL(`../../public/${values.model}`, import.meta.url))
    console.log(
      JSON.stringify({
        benchmark: 'hearing',
        share,
        options,
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

  function peerSummary(
    trials: { samples: Float32Array; recording: Recording; span: { onset: number; end: number } | null }[],
  ) {
    const { words, took } = runPeer(
      language,
      trials.map(({ samples, recording }) => ({ samples, open: recording.open })),
    )
    const outcomes = trials.map(({ recording }, at) =>
      scoreOf(
        language,
        recording,
        [{ words: words[at] ?? [], until: null }].filter((heard) => heard.words.length > 0),
        null,
        usualStrictness,
      ),
    )
    const seconds = trials.reduce((sum, { samples }) => sum + samples.length / 16000, 0)
    const isTalk = trials[0]?.recording.expected.kind === 'talk'

    return { ...summary(outcomes, seconds, isTalk), cpu: rounded(took / seconds) }
  }
}

function grouped(recordings: readonly Recording[]): Map<string, Recording[]> {
  const sets = new Map<string, Recording[]>()
  for (const recording of recordings) sets.set(recording.set, [...(sets.get(recording.set) ?? []), recording])
  return sets
}

function summary(outcomes: readonly Outcome[], seconds: number, isTalk: boolean) {
  const share = (verdict: Outcome['verdict']): number =>
    rounded(
      outcomes.filter((outcome) => outcome.verdict === verdict).length / Math.max(1, outcomes.length),
      3,
    )
  const latencies = outcomes.flatMap(({ latency }) => (latency === null ? [] : [latency + before]))
  const errors = outcomes.flatMap(({ onsetError }) => (onsetError === null ? [] : [Math.abs(onsetError)]))
  const words = outcomes.reduce((sum, outcome) => sum + outcome.words.all, 0)
  const falseOnes = outcomes.reduce((sum, { commands }) => sum + commands, 0)
  if (isTalk)
    return {
      trials: outcomes.length,
      hours: rounded(seconds / 3600, 3),
      falsePerHour: rounded((3600 * falseOnes) / seconds, 1),
      falseOnes,
    }
  return {
    trials: outcomes.length,
    right: share('right'),
    wrong: share('wrong'),
    missed: share('missed'),
    ...(words > 0
      ? { words: rounded(outcomes.reduce((sum, outcome) => sum + outcome.words.right, 0) / words, 3) }
      : {}),
    latency: spread(latencies),
    onsetError: spread(errors),
  }
}

function spread(numbers: readonly number[]) {
  if (numbers.length === 0) return null
  return { median: rounded(quantile(numbers, 0.5) ?? 0, 3), p95: rounded(quantile(numbers, 0.95) ?? 0, 3) }
}

function rounded(value: number, digits = 2): number {
  return Number(value.toFixed(digits))
}

function line(result: Record<string, unknown>): string {
  return Object.entries(result)
    .filter(([, value]) => value !== null && value !== undefined)
    .map(([name, value]) =>
      typeof value === 'object'
        ? `${name} ${JSON.stringify(value)}`
        : typeof value === 'string'
          ? value
          : `${name} ${String(value)}`,
    )
    .join(', ')
}
