import { mkdtemp } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright-core'
import { servePage, type Served } from './serveBuilt.ts'

/** Serves the page with the logbook in it. */
export const servePages = (): Promise<Served> => servePage('logbook')

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
