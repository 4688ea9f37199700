import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright-core'
import { encodeWav } from '../../audio-fixtures/wav.ts'
import { startChromium } from './startChromium.ts'

/**
 * What the microphone hears: samples (-1..1 at 16 kHz), once, from the moment the page opens it; or the person
 * refuses it. Without either it is Chromium's own beep.
 */
export type Microphone = Float32Array | 'denied' | undefined

export interface OpenedBrowser {
  context: BrowserContext
  /** its first page, still empty */
  page: Page
  close(): Promise<void>
}

/** Starts Chromium on a fresh profile with such a microphone; `keeps: false`: pages may store nothing, as in some private windows. */
export async function openBrowser(
  microphone: Microphone,
  { keeps = true }: { keeps?: boolean } = {},
): Promise<OpenedBrowser> {
  const folder = mkdtempSync(join(tmpdir(), 'earshot-'))
  const flags = ['--use-fake-device-for-media-stream']
  if (microphone instanceof Float32Array) {
    const wav = join(folder, 'microphone.wav')
    writeFileSync(wav, encodeWav(microphone))
    flags.push(`--use-file-for-fake-audio-capture=${wav}%noloop`)
  }
  if (!keeps) {
    mkdirSync(join(folder, 'profile/Default'), { recursive: true })
    const preferences = { profile: { default_content_setting_values: { cookies: 2 } } }
    writeFileSync(join(folder, 'profile/Default/Preferences'), JSON.stringify(preferences))
  }
  flags.push(microphone === 'denied' ? '--deny-permission-prompts' : '--use-fake-ui-for-media-stream')
  const context = await startChromium(join(folder, 'profile'), flags)
  return {
    context,
    page: context.pages()[0] ?? (await context.newPage()),
    async close() {
      await context.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
