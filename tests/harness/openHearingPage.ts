import { openBrowser, type Microphone, type OpenedBrowser } from './openBrowser.ts'
import { servePage, type Served } from './serveBuilt.ts'

/** Serves the hearing page together with `public/`. */
export const serveHearingPage = (): Promise<Served> => servePage('hearing')

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
