import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { chromium, type Page } from 'playwright-core'
import { build, preview } from 'vite'
import { encodeWav } from '../../audio-fixtures/wav.ts'
import { findChromium, howToInstall } from './findChromium.ts'

const page = fileURLToPath(new URL('./hearingPage/', import.meta.url))
const publicDir = fileURLToPath(new URL('../../public/', import.meta.url))

export interface HearingSite {
  /** with a slash at its end */
  url: string
  close(): Promise<void>
}

/** Builds the hearing page the way the app is built, and serves it together with `public/`. */
export async function serveHearingPage(): Promise<HearingSite> {
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

export interface BrowserOptions {
  /** what the microphone hears, once, from the moment it is opened: -1..1 at 16 kHz */
  microphone?: Float32Array | 'denied'
}

/** A fresh Chromium profile with the hearing page open. */
export async function openHearingPage(
  site: HearingSite,
  { microphone }: BrowserOptions = {},
): Promise<{ page: Page; close(): Promise<void> }> {
  const executablePath = findChromium()
  if (executablePath === undefined) throw new Error(howToInstall)
  const folder = mkdtempSync(join(tmpdir(), 'earshot-'))
  const args = [
    '--headless=new',
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    '--autoplay-policy=no-user-gesture-required',
    '--use-fake-device-for-media-stream',
    microphone === 'denied' ? '--deny-permission-prompts' : '--use-fake-ui-for-media-stream',
  ]
  if (microphone instanceof Float32Array) {
    const wav = join(folder, 'microphone.wav')
    writeFileSync(wav, encodeWav(microphone))
    args.push(`--use-file-for-fake-audio-capture=${wav}%noloop`)
  }
  const context = await chromium.launchPersistentContext(join(folder, 'profile'), { executablePath, args })
  const opened = context.pages()[0] ?? (await context.newPage())
  await opened.goto(site.url)
  await opened.waitForFunction('window.hearingPage')
  return {
    page: opened,
    async close() {
      await context.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
