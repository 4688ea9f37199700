import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { zipSync } from 'fflate'
import type { SentenceId } from '../../src/messages/cue.ts'
import { converse } from '../harness/conversation.ts'
import { findChromium } from '../harness/findChromium.ts'
import type { OpenedApp, OpenOptions } from '../harness/openApp.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { type Answer, serveAnswers } from '../harness/serveAnswers.ts'
import { startApp } from '../harness/startApp.ts'
import { wakeApp } from '../harness/wakeApp.ts'
import { milklessModel, modelFile, modelLacking, zippedModel } from '../harness/zippedModel.ts'

describe.skipIf(!findChromium())("a recognition model of the user's own, in the app", () => {
  let site: Served
  let app: OpenedApp
  beforeAll(async () => {
    site = await serveBuilt()
  })
  afterAll(() => site?.close())
  afterEach(() => app?.close())

  async function start(options: Partial<OpenOptions> = {}) {
    app = await startApp({ url: site.url, ...options })
    await app.page.evaluate(() => (location.hash = 'settings'))
  }
  const count = (sentence: SentenceId) =>
    app.observations.filter((seen) => seen.kind === 'said' && seen.sentence === sentence).length
  const says = (sentence: SentenceId, times = 1) =>
    expect.poll(() => count(sentence), { timeout: 30_000 }).toBe(times)
  const choose = (name: string, buffer: Buffer) =>
    app.page.locator('input[type=file]').setInputFiles({ name, mimeType: 'application/zip', buffer })
  const shows = (text: string) => app.page.getByText(text).waitFor({ timeout: 30_000 })

  it('is used once it was tried, tells its licence and the words it lacks, and goes back at a key', async () => {
    await start()
    await choose('own.zip', milklessModel())
    await says('model.own')
    await says('model.missing')
    expect(app.observations.findLast(({ kind }) => kind === 'said')).toMatchObject({
      text: 'It lacks 1 of my words: milk.',
    })
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

  it('goes back to the one before at a word, which each of them hears', async () => {
    await start({ microphone: 'live' })
    const bar = converse(app, 'rms')
    await choose('own.zip', milklessModel())
    await bar.hears('model.missing', 30)
    await bar.letItFinish()
    await bar.ask('settings', 'setting.open')
    await bar.letItFinish()
    // said once only: said twice it would come back
    await bar.say('last model')
    await bar.hears('model.built-in', 30)
    await shows('The built-in model is used.')

    await bar.letItFinish()
    await bar.say('last model')
    await bar.hears('model.own', 30)
    await shows('Your own is used: own.zip')
  })

  it('reads out three of the words it lacks; the screen has all', async () => {
    await start()
    await choose('own.zip', modelLacking('milk', 'crema', 'oat', 'syrup'))
    await says('model.missing.more')
    expect(app.observations.findLast(({ kind }) => kind === 'said')).toMatchObject({
      text: 'It lacks 4 of my words: crema, milk, oat, and more. The screen lists them all.',
      spoken: true,
    })
    await shows('It does not know these words, so what holds them cannot be said: crema, milk, oat, syrup')
  })

  it('is refused when the engine cannot read it; the one in use stays', async () => {
    await start()
    await choose('bad.zip', zippedModel({ 'am/final.mdl': modelFile('am/final.mdl').slice(0, 50_000) }))
    await says('model.refused.unreadable')
    await says('model.kept')
    await shows('My hearing cannot read that model. The model in use stays.')
    await shows('The built-in model is used.')
  })

  it('is refused when it does not come from its address, or is none; the one in use stays', async () => {
    const whole = milklessModel()
    const answers: Record<string, Answer> = {
      '/whole.zip': { body: whole },
      '/none.zip': { status: 404, body: 'no such file' },
      '/page.zip': { type: 'text/html', body: '<h1>Sign in</h1>' },
      '/broken-off.zip': { body: whole, sent: 0.5 },
      '/half.zip': { body: whole.subarray(0, whole.length / 2) },
      '/pictures.zip': { body: Buffer.from(zipSync({ 'pictures/cup.txt': new Uint8Array(9) })) },
      '/text.tar.gz': { body: 'no archive' },
      '/of-its-own.zip': { body: whole, isOpen: false },
    }
    const server = await serveAnswers(answers)
    const outOfReach =
      'That address cannot be reached from here. Download the model in another way and choose its file.'
    const refusals = [
      ['/none.zip', 'model.refused.missing', 'There is no model at that address.'],
      ['/page.zip', 'model.refused.missing', 'There is no model at that address.'],
      [
        '/broken-off.zip',
        'model.refused.broken off',
        'The model did not arrive whole. Please try once more.',
      ],
      ['/half.zip', 'model.refused.damaged', 'That file is damaged or cut short.'],
      ['/pictures.zip', 'model.refused.no model', 'That is no model that I can use.'],
      ['/text.tar.gz', 'model.refused.no model', 'That is no model that I can use.'],
      ['/of-its-own.zip', 'model.refused.out of reach', outOfReach],
    ] as const
    const fetchFrom = async (path: string) => {
      await app.page.getByLabel('Address of a model').fill(`${server.url}${path}`)
      await app.page.getByRole('button', { name: 'Fetch and use it' }).click()
    }
    try {
      await start()
      await fetchFrom('/whole.zip')
      await says('model.own')
      let refused = 0
      for (const [path, sentence, text] of refusals) {
        const before = count(sentence)
        await fetchFrom(path)
        await says(sentence, before + 1)
        await says('model.kept', ++refused)
        await shows(`${text} The model in use stays.`)
        await shows(`Your own is used: ${server.url}/whole.zip`)
      }
      expect(count('model.own')).toBe(1)
      expect(app.observations.findLast(({ kind }) => kind === 'listening')).toMatchObject({ listening: 'on' })
    } finally {
      await server.close()
    }
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
