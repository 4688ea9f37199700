import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { clipOf } from '../../audio-fixtures/clips.ts'
import { sampleRate } from '../../audio-fixtures/wav.ts'
import { findChromium } from '../harness/findChromium.ts'
import { openHearingPage, serveHearingPage } from '../harness/openHearingPage.ts'
import type { Served } from '../harness/serveBuilt.ts'
import type { EarLog } from '../harness/hearingPage/page.ts'
import { milklessModel, modelFile, zippedModel } from '../harness/zippedModel.ts'

const model = 'model/en.tar.gz'
const embedded = new Uint8Array(readFileSync(new URL('../../public/model/en.tar.gz', import.meta.url)))

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

  it('says that the model is broken, and hears again once it is whole', async () => {
    const { page, close } = await openHearingPage(site)
    await page.route('**/half.tar.gz', (route) =>
      route.fulfill({ body: Buffer.from(embedded.subarray(0, embedded.length / 2)) }),
    )
    const state = await page.evaluate(() => window.hearingPage.openEar('half.tar.gz', ['dose']))
    await page.unroute('**/half.tar.gz')
    await page.route('**/half.tar.gz', (route) => route.fulfill({ body: Buffer.from(embedded) }))
    await page.evaluate(() => window.hearingPage.reopen())
    const log = await page.evaluate(() => window.hearingPage.log())
    await close()
    expect(state).toMatchObject({ kind: 'failed', reason: 'model broken' })
    expect(log?.states.at(-1)).toMatchObject({ kind: 'listening' })
  })

  it('replaces a worker that answers no more', async () => {
    const { page, close } = await openHearingPage(site)
    await page.evaluate(() => {
      const { Worker } = window
      window.Worker = class extends Worker {
        constructor(...args: ConstructorParameters<typeof Worker>) {
          super(...args)
          Object.assign(window, { lastWorker: this })
        }
      }
    })
    await page.evaluate((address) => window.hearingPage.openEar(address, ['dose']), model)
    await page.evaluate(() => (window as unknown as { lastWorker: Worker }).lastWorker.terminate())
    await page.waitForFunction(
      () => {
        const kinds = window.hearingPage.log()?.states.map(({ kind }) => kind) ?? []
        return kinds.includes('failed') && kinds.at(-1) === 'listening'
      },
      undefined,
      { timeout: 60_000 },
    )
    const log = await page.evaluate(() => window.hearingPage.log())
    await close()
    expect(log?.states.find(({ kind }) => kind === 'failed')).toMatchObject({ reason: 'worker died' })
  })

  describe("with a model of the user's own", () => {
    const tryModel = async (archive: Buffer) => {
      const { page, close } = await openHearingPage(site)
      await page.route('**/own.zip', (route) =>
        route.fulfill({ body: archive, contentType: 'application/zip' }),
      )
      const tried = await page.evaluate(() => window.hearingPage.tryModel('own.zip'))
      await close()
      return tried
    }

    it('takes a zip, and tells its licence and the words that it lacks', async () => {
      const archive = milklessModel()
      const tried = await tryModel(archive)
      expect(tried).toMatchObject({ missing: ['milk'], bytes: archive.length })
      expect(tried).toMatchObject({ notice: expect.stringContaining('Do as you like.') as string })
    })

    it('refuses one that the engine cannot read', async () => {
      const network = modelFile('am/final.mdl').slice(0, 50_000)
      expect(await tryModel(zippedModel({ 'am/final.mdl': network }))).toEqual({
        refused: 'the engine cannot read the model',
      })
    })
  })
})
