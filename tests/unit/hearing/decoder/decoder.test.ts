import { beforeAll, describe, expect, it } from 'vitest'
import { embeddedModel } from '../engineInNode.ts'
import { ownDecoder } from './ownDecoder.ts'
import { clipsOf } from '../../../../audio-fixtures/clips.ts'
import { speechSpan } from '../../../../audio-fixtures/energy.ts'
import { sampleRate } from '../../../../audio-fixtures/wav.ts'
import { unpackModel } from '../../../../src/hearing/modelArchive.ts'
import type { Hypothesis } from '../../../../src/hearing/readings.ts'
import type { Engine } from '../../../../src/hearing/recognition.ts'

let engine: Engine
beforeAll(async () => void (engine = await ownDecoder(await unpackModel(embeddedModel))), 60_000)

const piece = sampleRate / 20
/** the clip begins after half a second of next to nothing */
const lead = 0.5

async function hear(
  text: string,
): Promise<{ hypotheses: Hypothesis[]; took: number; onset: number; end: number }> {
  const clip = (await clipsOf('awb')).get(text)?.samples ?? new Float32Array()
  const samples = Float32Array.from(
    { length: clip.length + 2 * sampleRate },
    (_, i) => 1e-4 * Math.sin(i * i),
  )
  clip.forEach((sample, i) => (samples[lead * sampleRate + i]! += sample))
  const span = speechSpan(clip)
  const times = { onset: lead + span.onset, end: lead + span.end }
  const recogniser = engine.listenFor([])
  for (let at = 0; at + piece <= samples.length; at += piece) {
    const outcome = recogniser.accept(samples.slice(at, at + piece))
    if ('hypotheses' in outcome)
      return { ...times, hypotheses: outcome.hypotheses, took: at / sampleRate - times.end }
  }
  return { ...times, hypotheses: recogniser.finish(), took: Infinity }
}

const textOf = (hypothesis: Hypothesis | undefined) => hypothesis?.words.map(({ word }) => word).join(' ')

describe('our decoder', () => {
  // the voice awb was held out from training
  it.each(['stop', 'start', 'into milk', 'dose eighteen point two', 'one notch finer', 'no crema'])(
    'hears "%s" of a voice it does not know, soon, and its onset',
    async (text) => {
      const { hypotheses, took, onset } = await hear(text)
      expect(textOf(hypotheses[0])).toBe(text)
      expect(hypotheses[0]?.score).toBeGreaterThan(0)
      expect(took).toBeLessThan(0.8)
      expect(Math.abs((hypotheses[0]?.words[0]?.onset ?? 0) - onset)).toBeLessThan(0.08)
    },
  )

  it('gives what else it may have been, less likely', async () => {
    const { hypotheses } = await hear('start')
    expect(hypotheses.length).toBeGreaterThan(1)
    const scores = hypotheses.map(({ score }) => score)
    expect(scores).toEqual(scores.toSorted((a, b) => b - a))
  })

  it('makes nothing of silence', () => {
    const recogniser = engine.listenFor([])
    recogniser.accept(Float32Array.from({ length: sampleRate }, (_, i) => 1e-3 * Math.sin(i * i)))
    const [best] = recogniser.finish()
    expect(best?.score).toBeLessThan(0)
  })
})
