import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { clipOf } from '../../audio-fixtures/clips.ts'
import { sampleRate } from '../../audio-fixtures/wav.ts'
import { findChromium } from '../harness/findChromium.ts'
import { openHearingPage, serveHearingPage } from '../harness/openHearingPage.ts'
import type { Served } from '../harness/serveBuilt.ts'
import type { EarLog } from '../harness/hearingPage/page.ts'

const model = 'model/en.tar.gz'

/** Seconds of silence before the word, so that it falls after the model has loaded. */
const leadIn = 6

function after(seconds: number, samples: Float32Array): Float32Array {
  const all = new Float32Array(Math.round((seconds + 2) * sampleRate) + samples.length)
  all.set(samples, Math.round(seconds * sampleRate))
  return all
}

/** The time of the first sound in what the microphone gave: the moment the clip begins. */
function trueOnset({ sound, soundFrom, sampleRate: rate }: EarLog): number {
  const loud = sound.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0) / 20
  return soundFrom + sound.findIndex((sample) => Math.abs(sample) > loud) / rate
}

describe.skipIf(findChromium() === undefined)('hearing in a browser', () => {
  let site: Served
  beforeAll(async () => void (site = await serveHearingPage()))
  afterAll(() => site.close())

  it('hears a dose, as a typed command with its true onset', async () => {
    const clip = await clipOf('slt', 'dose eighteen point two')
    const { page, close } = await openHearingPage(site, { microphone: after(leadIn, clip.samples) })
    const state = await page.evaluate(
      (address) => window.hearingPage.openEar(address, ['dose', 'talk']),
      model,
    )
    expect(state.kind).toBe('listening')
    await page.waitForTimeout(1000 * (leadIn + clip.samples.length / sampleRate + 2))
    const log = await page.evaluate(() => window.hearingPage.log())
    await close()

    expect(log?.rejected).toEqual([])
    expect(log?.commands).toMatchObject([
      { intent: 'dose', slots: { amount: 18.2 }, heard: 'dose eighteen point two', source: 'voice' },
    ])
    if (log === null) return
    expect(Math.abs((log.commands[0]?.onset ?? 0) - trueOnset(log))).toBeLessThan(0.15)
  })

  it('says that the microphone was refused', async () => {
    const { page, close } = await openHearingPage(site, { microphone: 'denied' })
    const state = await page.evaluate((address) => window.hearingPage.openEar(address, ['dose']), model)
    await close()
    expect(state).toMatchObject({ kind: 'failed', reason: 'refused' })
  })

  it('says that the model is missing', async () => {
    const { page, close } = await openHearingPage(site)
    const state = await page.evaluate(() => window.hearingPage.openEar('model/none.tar.gz', ['dose']))
    await close()
    expect(state).toMatchObject({ kind: 'failed', reason: 'model missing' })
  })
})
