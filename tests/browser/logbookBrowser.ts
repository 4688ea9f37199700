import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright-core'
import { build, preview } from 'vite'

const root = join(import.meta.dirname, '../..')

const pages = join(root, 'tests/browser/pages')

/** Builds the logbook's test page, `logbook.html`, into a folder. */
export async function buildPages(outDir: string): Promise<void> {
  await build({
    root: pages,
    configFile: false,
    logLevel: 'error',
    base: './',
    build: {
      outDir,
      emptyOutDir: true,
      target: 'es2022',
      rolldownOptions: { input: join(pages, 'logbook.html') },
    },
  })
}

/** Builds the logbook's test page and serves it. */
export async function servePages(): Promise<{ url: string; close: () => Promise<void> }> {
  const outDir = await mkdtemp(join(tmpdir(), 'earshot-pages-'))
  await buildPages(outDir)
  const server = await preview({
    root: pages,
    configFile: false,
    logLevel: 'error',
    build: { outDir },
    preview: { port: 0, host: '127.0.0.1' },
  })
  const address = server.httpServer.address()
  if (address === null || typeof address === 'string') throw new Error('the page server has no port')
  return {
    url: `http://127.0.0.1:${address.port}/logbook.html`,
    async close() {
      await new Promise((done) => server.httpServer.close(done))
      await rm(outDir, { recursive: true, force: true })
    },
  }
}

/** A new folder for a browser's profile. */
export async function newProfile(): Promise<string> {
  return mkdtemp(join(tmpdir(), 'earshot-profile-'))
}

/** Opens the test page. */
export async function openPage(context: BrowserContext, url: string): Promise<Page> {
  const page = await context.newPage()
  await page.goto(url)
  await page.waitForFunction(() => 'page' in window)
  return page
}
