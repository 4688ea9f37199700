import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build, preview } from 'vite'
import { openBrowser, type Microphone, type OpenedBrowser } from './openBrowser.ts'
import type { Served } from './serveBuilt.ts'

const page = fileURLToPath(new URL('./hearingPage/', import.meta.url))
const publicDir = fileURLToPath(new URL('../../public/', import.meta.url))

/** Builds the hearing page the way the app is built, and serves it together with `public/`. */
export async function serveHearingPage(): Promise<Served> {
  const outDir = mkdtempSync(join(tmpdir(), 'earshot-page-'))
  const shared = { root: page, configFile: false, base: './', logLevel: 'warn' } as const
  await build({
    ...shared,
    publicDir,
    build: { outDir, target: 'es2022', emptyOutDir: true },
    worker: { format: 'es' },
  })
  const server = await preview({ ...shared, build: { outDir }, preview: { host: 'localhost', port: 0 } })
  const url = server.resolvedUrls?.local[0]
  if (url === undefined) throw new Error('the preview server has no address')
  return {
    url,
    async close() {
      await server.close()
      rmSync(outDir, { recursive: true })
    },
  }
}

/** A fresh Chromium profile with the hearing page open. */
export async function openHearingPage(
  site: Served,
  { microphone }: { microphone?: Microphone } = {},
): Promise<OpenedBrowser> {
  const browser = await openBrowser(microphone)
  await browser.page.goto(site.url)
  await browser.page.waitForFunction('window.hearingPage')
  return browser
}
