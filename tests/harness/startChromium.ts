import { chromium, type BrowserContext } from 'playwright-core'
import { findChromium, howToInstall } from './findChromium.ts'

/** Flags for a browser without a screen or a network of its own, that lets pages play and record at once. */
export const chromiumFlags = [
  '--headless=new',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--autoplay-policy=no-user-gesture-required',
]

/** Starts Chromium on the profile in a folder, which a later start finds again. */
export async function startChromium(
  profile: string,
  moreFlags: readonly string[] = [],
): Promise<BrowserContext> {
  const executablePath = findChromium()
  if (!executablePath) throw new Error(howToInstall)
  return chromium.launchPersistentContext(profile, { executablePath, args: [...chromiumFlags, ...moreFlags] })
}
