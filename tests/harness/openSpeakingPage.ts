import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { servePage, type Served } from './serveBuilt.ts'
import { startChromium } from './startChromium.ts'
import type {} from './speakingPage/page.ts'

/** Serves the speaking page together with `public/`. */
export const serveSpeakingPage = (): Promise<Served> => servePage('speaking')

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
