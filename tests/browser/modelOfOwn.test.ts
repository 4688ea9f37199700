import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import type { SentenceId } from '../../src/messages/cue.ts'
import { findChromium } from '../harness/findChromium.ts'
import type { OpenedApp } from '../harness/openApp.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { startApp } from '../harness/startApp.ts'
import { wakeApp } from '../harness/wakeApp.ts'
import { milklessModel, modelFile, zippedModel } from '../harness/zippedModel.ts'

describe.skipIf(!findChromium())("a recognition model of the user's own, in the app", () => {
  let site: Served
  let app: OpenedApp
  beforeAll(async () => {
    site = await serveBuilt()
  })
  afterAll(() => site?.close())
  afterEach(() => app?.close())

  async function start() {
    app = await startApp({ url: site.url })
    await app.page.evaluate(() => (location.hash = 'settings'))
  }
  const says = (sentence: SentenceId, times = 1) =>
    expect
      .poll(
        () => app.observations.filter((seen) => seen.kind === 'said' && seen.sentence === sentence).length,
        { timeout: 30_000 },
      )
      .toBe(times)
  const choose = (name: string, buffer: Buffer) =>
    app.page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/zip', buffer })
  const shows = (text: string) => app.page.getByText(text).waitFor({ timeout: 30_000 })

  it('is used once it was tried, tells its licence and the words it lacks, and goes back at a word', async () => {
    await start()
    await choose('own.zip', milklessModel())
    await says('model.own')
    await says('model.missing')
    await shows('Do as you like.')
    await shows('It does not know these words, so what holds them cannot be said: milk')

    await app.page.keyboard.press('j')
    await app.page.keyboard.press('Shift+G')
    await says('model.built-in')
    await app.page.keyboard.press('Shift+G')
    await says('model.own', 2)
    await app.page.reload()
    await wakeApp(app)
    await app.page.evaluate(() => (location.hash = 'settings'))
    await shows('Your own is used: own.zip')
  })

  it('is refused when the engine cannot read it; the one in use stays', async () => {
    await start()
    await choose('bad.zip', zippedModel({ 'am/final.mdl': modelFile('am/final.mdl').slice(0, 50_000) }))
    await shows('This model cannot be used: the engine cannot read the model')
    await shows('The built-in model is used.')
  })

  it('is given up when it fails at a later start, and so is the one before', async () => {
    await start()
    await app.page.evaluate(async () => {
      const about = { name: 'spoilt', notice: null, missing: [] }
      const headers = { 'X-About': encodeURIComponent(JSON.stringify(about)) }
      const cache = await caches.open('chosen model')
      for (const address of ['/chosen-model', '/chosen-model-before'])
        await cache.put(address, new Response('spoilt', { headers }))
    })
    await app.page.reload()
    await wakeApp(app)
    await says('trouble.model-back', 2)
    await says('model.built-in')
    expect(app.observations.findLast(({ kind }) => kind === 'listening')).toMatchObject({ listening: 'on' })
  })
})
