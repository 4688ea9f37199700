import { beforeAll, describe, expect, it } from 'vitest'
import { embeddedModel, wasmUrl } from './engineInNode.ts'
import { ownDecoder } from './decoder/ownDecoder.ts'
import { clipOf } from '../../../audio-fixtures/clips.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { readLanguage } from '../../../grammar/readLanguage.ts'
import { eagerPhrases } from '../../../src/hearing/eagerPhrases.ts'
import { loadEngine } from '../../../src/hearing/engine.ts'
import { judge, usualStrictness } from '../../../src/hearing/judge.ts'
import { Listener } from '../../../src/hearing/listener.ts'
import { unpackModel } from '../../../src/hearing/modelArchive.ts'
import { openGrammars } from '../../../src/hearing/openGrammars.ts'
import type { FromWorker, Listen, Word } from '../../../src/hearing/protocol.ts'
import type { Engine } from '../../../src/hearing/recognition.ts'
import { createResampler } from '../../../src/hearing/resampler.ts'
import { createSuppressor } from '../../../src/hearing/suppressor.ts'
import { usualTuning } from '../../../src/hearing/tuning.ts'
import type { GrammarName } from '../../../src/messages/grammarName.ts'

const contextRate = 48000
const language = readLanguage('en')
const eager = eagerPhrases(language)

type Heard = Extract<FromWorker, { kind: 'heard' }>

let engine: Engine
const engines = [
  { name: 'Vosk', load: async () => loadEngine(await unpackModel(embeddedModel), wasmUrl) },
  { name: 'our decoder', load: async () => ownDecoder(await unpackModel(embeddedModel)) },
]

/** Silence with clips at given times, seconds, at the audio context's rate. */
async function recording(seconds: number, clips: Record<number, string>): Promise<Float32Array> {
  const samples = Float32Array.from({ length: seconds * sampleRate }, (_, i) => 1e-4 * Math.sin(i * i))
  for (const [at, text] of Object.entries(clips)) {
    const clip = await clipOf('slt', text)
    clip.samples.forEach((sample, i) => (samples[Math.round(Number(at) * sampleRate) + i]! += sample))
  }
  return createResampler(sampleRate, contextRate).process(samples)
}

function listenFor(id: number, names: readonly GrammarName[], notBefore = 0): Listen {
  const { phrases } = openGrammars(language, names, false)
  return { kind: 'listen', id, phrases, eager, hold: 0.1, notBefore }
}

/** Plays a recording, from a context's time on, to a listener; `at` does something when that much was played. */
async function play(
  sound: Float32Array,
  listens: readonly { at: number; listen: Listen }[],
  { from = 0, skip = [0, 0] }: { from?: number; skip?: readonly [number, number] } = {},
): Promise<Heard[]> {
  const heard: Heard[] = []
  const suppressor = await createSuppressor(usualTuning.dryShare)
  const listener = new Listener(engine, suppressor, usualTuning, contextRate, (message) => {
    if (message.kind === 'heard') heard.push(message)
  })
  const piece = contextRate / 50
  const waiting = [...listens]
  for (let at = 0; at + piece <= sound.length; at += piece) {
    const now = at / contextRate
    while (waiting[0] !== undefined && waiting[0].at <= now) listener.listen(waiting.shift()!.listen)
    if (now >= skip[0] && now < skip[1]) continue
    listener.hear({ kind: 'sound', frame: from * contextRate + at, samples: sound.slice(at, at + piece) })
  }
  suppressor.close()
  return heard
}

const wordsOf = ({ hypotheses }: Heard): readonly Word[] => hypotheses[0]?.words ?? []
const textOf = (heard: Heard): string =>
  wordsOf(heard)
    .map(({ word }) => word)
    .join(' ')

describe.each(engines)('the listener with $name', ({ load }) => {
  beforeAll(async () => void (engine = await load()), 60_000)

  it('gives the true time of every word, however late it comes', async () => {
    const sound = await recording(12, { 1: 'start the pour', 9.5: 'help' })
    const heard = await play(sound, [{ at: 0, listen: listenFor(1, ['ready', 'talk']) }], { from: 1000 })
    expect(heard.map(textOf)).toEqual(['start the pour', 'help'])
    expect(Math.abs((heard[0]?.hypotheses[0]?.words[0]?.onset ?? 0) - 1001)).toBeLessThan(0.1)
    expect(Math.abs((heard[1]?.hypotheses[0]?.words[0]?.onset ?? 0) - 1009.5)).toBeLessThan(0.1)
  })

  it('tells a stop-class word before its sentence is over', async () => {
    const sound = await recording(4, { 1: 'stop the pour' })
    const [first] = await play(sound, [{ at: 0, listen: listenFor(1, ['pouring']) }])
    const end = 1 + (await clipOf('slt', 'stop the pour')).samples.length / sampleRate
    expect(first).toMatchObject({ eager: true })
    // no silence is waited for
    expect(first?.until).toBeLessThan(end + 0.15)
    expect(Math.abs((first?.hypotheses[0]?.words[0]?.onset ?? 0) - 1)).toBeLessThan(0.1)
  })

  it('hears a word that is in flight when the grammar changes under the new one', async () => {
    const sound = await recording(4, { 1: 'start the pour' })
    const heard = await play(sound, [
      { at: 0, listen: listenFor(1, ['confirm']) },
      { at: 1.4, listen: listenFor(2, ['ready']) },
    ])
    expect(heard.map((one) => [one.id, textOf(one)])).toEqual([[2, 'start the pour']])
  })

  it('does not hear twice what it has told, nor what came before it was to listen', async () => {
    const sound = await recording(5, { 1: 'help' })
    const twice = await play(sound, [
      { at: 0, listen: listenFor(1, ['talk']) },
      { at: 2.6, listen: listenFor(2, ['talk', 'dose']) },
    ])
    expect(twice.map((one) => [one.id, textOf(one)])).toEqual([[1, 'help']])
    const before = await play(sound, [
      { at: 0, listen: listenFor(1, ['confirm']) },
      { at: 1.3, listen: listenFor(2, ['talk'], 2) },
    ])
    expect(before.map(textOf)).not.toContain('help')
  })

  it('hears the first word under a grammar as well as the fifth, however loud', async () => {
    for (const gain of [1, 0.1]) {
      const times = Array.from({ length: 5 }, (_, i) => 1 + 1.8 * i)
      const sound = (await recording(11, Object.fromEntries(times.map((at) => [at, 'water'])))).map(
        (sample) => gain * sample,
      )
      const heard = await play(sound, [{ at: 0, listen: listenFor(1, ['handoff']) }])
      expect(heard.map(textOf)).toEqual(times.map(() => 'water'))
      const confidences = heard.map((one) => wordsOf(one)[0]?.confidence ?? 0)
      expect(Math.abs((confidences[0] ?? 0) - (confidences[4] ?? 1))).toBeLessThan(0.05)
    }
  })

  it('keeps its times when a little sound is lost', async () => {
    const sound = await recording(5, { 3: 'help' })
    const heard = await play(sound, [{ at: 0, listen: listenFor(1, ['talk']) }], { skip: [1, 1.3] })
    expect(heard.map(textOf)).toEqual(['help'])
    expect(Math.abs((heard[0]?.hypotheses[0]?.words[0]?.onset ?? 0) - 3)).toBeLessThan(0.1)
  })
})

describe('Vosk', () => {
  beforeAll(async () => void (engine = await loadEngine(await unpackModel(embeddedModel), wasmUrl)), 60_000)

  it.each([
    'tastes bitter',
    'dose eighteen point two',
    'close the shift',
    'set to notch fourteen',
    'one notch coarser',
  ])('makes nothing of "%s" while it is not open', async (text) => {
    const { phrases, open } = openGrammars(language, ['pouring', 'drill', 'handoff'], false)
    const sound = await recording(4, { 1: text })
    const heard = await play(sound, [{ at: 0, listen: { ...listenFor(1, []), phrases } }])
    expect(heard.map(textOf).join(' ')).toContain('[unk]')
    const judged = heard.map((one) => judge(wordsOf(one), one.beside, open, usualStrictness).kind)
    expect(judged).not.toContain('command')
  })
})
