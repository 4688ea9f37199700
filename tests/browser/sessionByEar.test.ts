import { writeFileSync } from 'node:fs'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { SentenceId } from '../../src/messages/cue.ts'
import { type Conversation, converse } from '../harness/conversation.ts'
import { findChromium } from '../harness/findChromium.ts'
import { type OpenedApp, openApp } from '../harness/openApp.ts'
import { type Served, serveBuilt } from '../harness/serveBuilt.ts'
import { wakeApp } from '../harness/wakeApp.ts'
import { encodeWav } from '../../audio-fixtures/wav.ts'

const seconds = (count: number) => new Promise((resolve) => setTimeout(resolve, count * 1000))

/** Pulls a shot of about so many seconds, from the word that starts it to the word that ends it. */
async function pull(bar: Conversation, length: number) {
  await bar.ask('go', 'pour.started')
  await seconds(length - 1.5)
  await bar.ask('stop', 'shot.time')
}

const step = (number: number): SentenceId => `drill.rested-against-fresh.${number}.say`

describe.skipIf(!findChromium())('by ear alone', () => {
  let served: Served
  let app: OpenedApp
  beforeAll(async () => {
    served = await serveBuilt()
  })
  afterAll(() => served?.close())

  test('everything', async () => {
    app = await openApp({ url: served.url, microphone: 'live' })
    const began = Date.now()
    const lap = (what: string) => console.log(`${((Date.now() - began) / 1000).toFixed(1)} ${what}`)
    try {
    await wakeApp(app)
    const bar = converse(app, 'rms')
    await bar.hears('greeting.first')
    await bar.letItFinish()
    lap('greeted')
    await bar.ask('short prompts', 'setting.prompts.short')
    await bar.letItFinish()
    await bar.ask('open shift', 'shift.opened')
    await bar.letItFinish()
    lap('open')

    await pull(bar, 7)
    await bar.hears('shot.far too fast')
    await bar.letItFinish()
    lap('fast')
    await bar.ask('throw it out', 'handoff.ask-discard')
    await bar.letItFinish()
    await bar.ask('yes', 'handoff.discarded')
    await bar.letItFinish()
    lap('thrown out')
    await bar.ask('one notch finer', 'grind.moved')
    await bar.letItFinish()
    await bar.ask('purged', 'grind.purged')
    await bar.letItFinish()
    await bar.ask('two cups', 'shot.cups')
    await bar.letItFinish()
    lap('ready')
    await pull(bar, 18.5)
    await bar.hears('shot.in-window')
    await bar.ask('first into oat milk', 'handoff.served')
    await bar.hears('handoff.expired.cup', 15)
    await bar.letItFinish()
    lap('handed off')
    await bar.ask('next', 'grind.prompt')
    await bar.letItFinish()

    await bar.ask('drill four', 'drill.began')
    await bar.hears(step(1))
    await bar.letItFinish()
    lap('drill')
    await pull(bar, 4)
    await bar.hears(step(2))
    await bar.ask('first into oat milk', 'handoff.served')
    lap('served')
    await bar.hears('handoff.expired.cup', 15)
    lap('expired')
    await bar.hears('drill.rest', 75)
    lap('rested')
    await bar.hears(step(4), 20)
    await bar.letItFinish()
    await bar.ask('next', step(5))
    for (const next of [6, 7, 8]) {
      await bar.letItFinish()
      await bar.ask('yes', step(next))
    }
    await bar.letItFinish()
    lap('tasted')
    await bar.ask('no', 'drill.done')
    lap(await bar.hears('score.taste.failed'))
    await bar.letItFinish()
    lap(await bar.ask('shift report', 'report.shots'))
    lap(await bar.hears('report.waste'))
    await bar.letItFinish()
    lap('done')
    expect(app.errors).toEqual([])
    } finally {
      writeFileSync('/tmp/ear/observations.json', JSON.stringify(app.observations, null, 1))
      let n = 0
      for (const observation of app.observations) {
        if (observation.kind !== 'said' || !observation.spoken) continue
        const samples = await app.page.evaluate(([from, until]) => window.pageSound.loudspeaker(from, until), [observation.at - 0.2, observation.until + 0.2] as const)
        const name = `/tmp/ear/${String(n++).padStart(3, '0')}`
        writeFileSync(`${name}.wav`, encodeWav(Float32Array.from(samples)))
        writeFileSync(`${name}.txt`, `${observation.sentence}\n${observation.text}\n`)
      }
      await app.close()
    }
  })
})
