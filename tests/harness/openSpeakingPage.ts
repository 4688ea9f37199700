import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { createServer } from 'vite'
import type { Served } from './serveBuilt.ts'
import { startChromium } from './startChromium.ts'
import type {} from './speakingPage/page.ts'

const root = fileURLToPath(new URL('../../', import.meta.url))

/** Serves the speaking page, `public/` beside it. */
export async function serveSpeakingPage(): Promise<Served> {
  const cacheDir = mkdtempSync(join(tmpdir(), 'earshot-vite-'))
  const server = await createServer({
    root,
    cacheDir,
    configFile: false,
    logLevel: 'warn',
    appType: 'mpa', // what is not there is not found
    server: { host: 'localhost', port: 0, hmr: false },
    optimizeDeps: { include: ['howler', 'valibot'] },
  })
  await server.listen()
  const url = server.resolvedUrls?.local[0]
  if (url === undefined) throw new Error('the page server has no address')
  return {
    url: `${url}tests/harness/speakingPage/index.html`,
    async close() {
      await server.close()
      rmSync(cacheDir, { recursive: true })
    },
  }
}

/** Opens the page in a fresh profile. `gesture`: it may sound only after a touch, as in a user's browser. */
export async function openSpeakingPage(
  site: Served,
  { gesture = false } = {},
): Promise<{ page: Page; close(): Promise<void> }> {
  const profile = mkdtempSync(join(tmpdir(), 'earshot-'))
  const browser = await startChromium(
    profile,
    gesture ? ['--autoplay-policy=document-user-activation-required'] : [],
  )
  const page = browser.pages()[0] ?? (await browser.newPage())
  await page.goto(site.url)
  await page.waitForFunction('window.speakingPage')
  return {
    page,
    async close() {
      await browser.close()
      rmSync(profile, { recursive: true, force: true })
    },
  }
}
