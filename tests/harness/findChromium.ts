import { existsSync } from 'node:fs'

const usualPlaces = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
]

/** The Chromium to test with: `CHROMIUM` in the environment, else one in a usual place, else none. */
export function findChromium(): string | undefined {
  const named = process.env['CHROMIUM']
  if (named && !existsSync(named)) throw new Error(`CHROMIUM is ${named}, but there is no such file`)
  return named ?? usualPlaces.find((place) => existsSync(place))
}

/** What to tell people who have none. */
export const howToInstall =
  'No Chromium was found, so browser tests are skipped. Install one (Debian: apt install chromium) or set CHROMIUM to its path.'
