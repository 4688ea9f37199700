import axe from 'axe-core'
import { afterEach, beforeAll, afterAll, describe, expect, it } from 'vitest'
import type { SentenceId } from '../../src/messages/cue.ts'
import type { Entry } from '../../src/messages/entry.ts'
import { designDocument, designName } from '../../src/logbook/designDocument.ts'
import { toJsonLines } from '../../src/logbook/jsonLines.ts'
import { startCouchServer, type CouchServer } from '../harness/couchServer.ts'
import { findChromium } from '../harness/findChromium.ts'
import { openApp, type OpenedApp } from '../harness/openApp.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { startApp } from '../harness/startApp.ts'
import { wakeApp } from '../harness/wakeApp.ts'
import { double, recordsOf } from '../unit/logbook/makeRecords.ts'

/** What is logged shows, and what goes wrong with the log is told: in the built app, as a person meets it. */
describe.skipIf(!findChromium())('the log in the app', () => {
  let site: Served
  let app: OpenedApp
  beforeAll(async () => {
    site = await serveBuilt()
  })
  afterAll(() => site?.close())
  afterEach(() => app?.close())

  async function start() {
    app = await startApp({ url: site.url })
  }
  const says = (sentence: SentenceId, seconds = 30) =>
    app.waitFor((seen) => seen.kind === 'said' && seen.sentence === sentence, seconds)
  const logs = (kind: Entry['kind'], times = 1) =>
    expect
      .poll(
        () => app.observations.filter((seen) => seen.kind === 'logged' && seen.entry.kind === kind).length,
        {
          timeout: 15_000,
        },
      )
      .toBe(times)
  const open = async (view: string) => {
    await app.page.evaluate((name) => (location.hash = name), view)
    await app.page.waitForSelector(`main[data-view=${view}]`)
  }
  const takeIn = async (name: string, text: string) => {
    await open('shift')
    await app.page
      .locator('input[type=file]')
      .setInputFiles({ name, mimeType: 'text/plain', buffer: Buffer.from(text) })
  }
  async function violations() {
    await app.page.evaluate(axe.source)
    return app.page.evaluate(async () => {
      const { violations } = await (window as unknown as { axe: typeof axe }).axe.run(document)
      return violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id}: ${target.join(' ')}`))
    })
  }

  it('names a barista, and erases the name with all else after a yes, saying what it cannot reach', async () => {
    await start()
    await open('settings')
    const names = app.page.locator('section', { has: app.page.getByRole('heading', { name: 'Names' }) })
    await names.getByLabel('Barista number').fill('3')
    await names.getByRole('button', { name: 'Keep the name' }).click()
    expect(await names.getByRole('alert').textContent()).toBe('the name is missing')
    await names.getByLabel('Name', { exact: true }).fill('Robin')
    await names.getByRole('button', { name: 'Keep the name' }).click()
    await logs('named')
    await names.getByText('3: Robin').waitFor()
    expect(await violations()).toEqual([])

    await open('bar')
    await app.page.keyboard.press('b')
    for (const key of ['3', 'Enter']) await app.page.keyboard.press(key)
    await app.page.locator('dd', { hasText: '3 Robin' }).waitFor()

    await open('settings')
    await names.getByRole('button', { name: /Erase barista/ }).click()
    await names.getByRole('button', { name: 'Yes' }).waitFor()
    expect(await violations()).toEqual([])
    await names.getByRole('button', { name: 'Yes' }).click()
    await logs('person erased')
    for (const sentence of ['erase.done', 'erase.exports', 'erase.other-devices'] as const)
      await says(sentence, 30)
    await expect.poll(() => names.getByText('Robin').count()).toBe(0)
  })

  it('shows what two devices set apart, lets one be chosen, and works with it', async () => {
    await start()
    await app.page.keyboard.press('j')
    await app.page.keyboard.press('Shift+C')
    await app.page.waitForSelector('dialog[open]')
    await app.page.keyboard.type('19')
    await app.page.getByRole('button', { name: 'Dose, grams' }).click()
    await logs('recipe set')

    const elsewhere = recordsOf(
      [{ kind: 'recipe set', recipe: 'house', dose: 21 }],
      'tablet02',
      Math.round(Date.now() / 1000) + 5,
    )
    await takeIn('log.jsonl', toJsonLines(elsewhere))
    await says('house.contested')
    await says('house.changed')
    await open('settings')
    const house = app.page.getByRole('group', { name: 'Set by two devices' })
    expect(await house.textContent()).toContain(
      '21 grams holds, for it was said last. 19 grams was set aside.',
    )
    expect(await violations()).toEqual([])
    await house.getByRole('button', { name: 'Take 19 grams' }).click()
    await logs('recipe set', 2)
    await expect.poll(() => house.count()).toBe(0)
    await app.page.locator('dd', { hasText: /^19$/ }).waitFor()
  })

  it('takes in what can be read of a file, and says and shows what cannot', async () => {
    await start()
    const [good, other] = recordsOf([double('a', 15), double('b', 18)])
    const newer = JSON.stringify({ ...other, version: 99 })
    await takeIn('log.jsonl', `${JSON.stringify(good)}\n${newer}\n`)
    await says('import.done')
    await says('import.newer')
    await app.page.getByText('1 rows are of a newer Earshot and were left out.').waitFor()
    await takeIn('log.jsonl', `${JSON.stringify({ ...other, device: 'tablet09' })}\nnonsense\n`)
    await says('import.refused')
    await app.page.getByText('Row 1: the device tablet09 is not the one in the id').waitFor()
    await app.page.getByText('Row 2: not JSON').waitFor()
  })

  it('says by voice or key how it stands with the server, rests it and takes it up again', async () => {
    const couch: CouchServer = await startCouchServer()
    let stopping: Promise<void> | undefined
    const stop = () => (stopping ??= couch.stop())
    try {
      await start()
      const ask = async (nth: string) => {
        await app.page.keyboard.press('Shift+X')
        await app.page.waitForSelector('dialog[open]')
        await app.page.keyboard.press(nth)
      }
      await app.page.keyboard.press('j')
      await ask('4')
      await says('server.none')

      for (const [path, body] of [
        ['chain', undefined],
        [`chain/${designName}`, JSON.stringify(designDocument)],
      ] as const)
        await fetch(`${couch.url}/${path}`, {
          method: 'PUT',
          headers: { 'content-type': 'application/json' },
          ...(body !== undefined && { body }),
        })
      await app.page.getByLabel('Address of the server').fill(`${couch.url}/chain`)
      await app.page.getByRole('button', { name: 'Connect' }).click()
      await ask('3')
      await says('server.up-to-date')
      await ask('2')
      await says('server.off')
      await says('server.last.minutes')
      await stop()
      await ask('1')
      await says('trouble.server-away', 30)
      expect(await violations()).toEqual([])
    } finally {
      await stop()
    }
  })

  it('tells that the disk is full, and goes on where it was after a reload', async () => {
    await start()
    const protocol = await app.context.newCDPSession(app.page)
    const { origin } = new URL(site.url)
    await app.page.keyboard.press('o')
    await logs('shift opened')
    await protocol.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1 })
    // the browser looks at its quota only when it believes that room gets short
    const isFull = await app.page.evaluate(async () => {
      const ballast = await new Promise<IDBDatabase>((resolve) => {
        const request = indexedDB.open('ballast')
        request.onupgradeneeded = () => request.result.createObjectStore('ballast', { autoIncrement: true })
        request.onsuccess = () => resolve(request.result)
      })
      for (let size = 2 ** 22; size > 64;) {
        const write = ballast.transaction('ballast', 'readwrite')
        write.objectStore('ballast').add(new Uint8Array(size))
        const isWritten = await new Promise((resolve) => {
          write.oncomplete = () => resolve(true)
          write.onabort = () => resolve(false)
        })
        if (!isWritten) size /= 4
      }
      return true
    })
    expect(isFull).toBe(true)
    await app.page.keyboard.press('BracketRight')
    await says('trouble.log-full')
    await app.page.getByText('The disk is full.').first().waitFor()
    await protocol.send('Storage.overrideQuotaForOrigin', { origin })
    await app.page.waitForTimeout(500)
    await app.page.reload()
    await app.page.waitForSelector('h1')
    const before = app.observations.length
    await app.page.keyboard.press('Space')
    await expect
      .poll(() => app.observations.slice(before).some((seen) => seen.kind === 'state'), { timeout: 30_000 })
      .toBe(true)
    expect(app.observations.slice(before).find((seen) => seen.kind === 'state')).toMatchObject({
      state: 'grind',
    })
    // the notch that was moved while the disk was full
    await app.page.locator('dd', { hasText: /^11$/ }).waitFor()
  })

  it('tells of a second window, and of a clock that was set back', async () => {
    await start()
    await app.page.keyboard.press('o')
    await logs('shift opened')
    const second = await app.context.newPage()
    await second.goto(site.url)
    await second.waitForSelector('h1')
    await second.keyboard.press('Space')
    await says('trouble.log-in-use')
    await second.getByText('Earshot is open in another window.').waitFor()
    await second.close()

    await app.page.addInitScript(() => {
      const now = Date.now
      Date.now = () => now() - 3_600_000
    })
    await app.page.reload()
    await app.page.waitForSelector('h1')
    await app.page.keyboard.press('Space')
    await says('trouble.clock-set-back', 30)
  })

  it('tells that the window keeps nothing, and works on', async () => {
    app = await openApp({ url: site.url, keeps: false })
    await wakeApp(app)
    await says('trouble.no-storage')
    await app.page.getByText('This window keeps nothing.').first().waitFor()
    await app.page.keyboard.press('o')
    await logs('shift opened')
    await open('settings')
    await app.page.getByLabel('Address of the server').fill('https://localhost/chain')
    await app.page.getByRole('button', { name: 'Connect' }).click()
    await app.page.getByRole('alert').getByText('This window keeps nothing.').waitFor()
    await open('shift')
    expect(app.errors.filter((error) => !error.includes('serviceWorker'))).toEqual([])
  })
})
