import { appendFileSync, cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { findChromium } from '../harness/findChromium.ts'
import { openApp, type OpenedApp } from '../harness/openApp.ts'
import { buildAppIfNeeded, root } from '../harness/buildOnce.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { wakeApp } from '../harness/wakeApp.ts'

describe.skipIf(findChromium() === undefined)('the installed app', () => {
  /** a copy of the built app, so that a newer one can take its place */
  const folder = mkdtempSync(join(tmpdir(), 'earshot-installed-'))
  let server: Served
  let app: OpenedApp

  beforeAll(async () => {
    buildAppIfNeeded()
    cpSync(join(root, 'dist'), folder, { recursive: true })
    server = await serveBuilt(folder)
    app = await openApp({ url: server.url })
  })
  afterAll(async () => {
    await app.close()
    await server.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const swapWorker = () => app.page.evaluate(async () => (await navigator.serviceWorker.ready).update())

  it('is kept whole on the first visit, and says so', async () => {
    await app.page.waitForSelector('text=Works without a network from now on.', { timeout: 120_000 })
    const kept = await app.page.evaluate(async () => {
      const names = await caches.keys()
      const requests = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()))
      return requests.flat().map(({ url }) => new URL(url).pathname)
    })
    for (const part of ['/index.html', '/model/en.tar.gz', '/voices/en/man.opus', '/voices/en/woman.opus'])
      expect(kept).toContain(part)
    expect(kept.some((path) => path.endsWith('.wasm'))).toBe(true)
  })

  it('does not let a newer app in while a pour runs, nor while a shift is open', async () => {
    await wakeApp(app)
    await app.page.keyboard.press('o')
    await app.page.keyboard.press('g')
    await app.page.waitForSelector('h1:text("Pouring")')
    await app.page.evaluate(() => ((window as unknown as { isOld: boolean }).isOld = true))
    appendFileSync(join(folder, 'serviceWorker.js'), '\n// newer\n')
    await swapWorker()
    await app.page.waitForSelector('text=It waits until no shift is open.', { timeout: 60_000 })
    const use = app.page.getByRole('button', { name: 'Use the newer one' })
    expect(await use.count()).toBe(0)
    await app.page.waitForTimeout(2000)
    await app.page.keyboard.press('Space')
    await app.page.waitForSelector('h1:text("Judge")')
    expect(await use.count()).toBe(0)
    expect(await app.page.evaluate(() => (window as unknown as { isOld?: boolean }).isOld)).toBe(true)
  })

  it('takes the newer app in at the next start, before anything runs', async () => {
    await Promise.all([
      // once by the test, once by the app
      app.page.waitForEvent('load').then(() => app.page.waitForEvent('load', { timeout: 60_000 })),
      app.page.reload(),
    ])
    await app.page.waitForSelector('button.main')
    expect(await app.page.evaluate(async () => (await navigator.serviceWorker.ready).waiting)).toBeNull()
  })

  it('starts, hears, speaks and keeps its log without a server', async () => {
    await server.close()
    await app.page.reload()
    await app.page.waitForSelector('button.main')
    const before = app.observations.length
    await app.page.getByRole('button').first().click()
    await expect
      .poll(() => app.observations.slice(before), { timeout: 90_000, interval: 500 })
      .toEqual(
        expect.arrayContaining([
          expect.objectContaining({ kind: 'listening', listening: 'on' }),
          expect.objectContaining({ kind: 'said', sentence: 'greeting.back', spoken: true }),
        ]),
      )
    await app.page.waitForSelector('nav')
    await app.page.getByRole('link', { name: 'Shift' }).click()
    await app.page.waitForSelector('h1:text("The shift")')
    await app.page.waitForSelector('tbody tr')
  })
})
