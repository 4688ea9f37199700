import { openApp, type OpenedApp, type OpenOptions } from './openApp.ts'
import { wakeApp } from './wakeApp.ts'

/** Opens the app, wakes it and hushes the first greeting, which is long. */
export async function startApp(options: OpenOptions): Promise<OpenedApp> {
  const app = await openApp(options)
  await wakeApp(app)
  await app.waitFor((seen) => seen.kind === 'said' && seen.sentence === 'greeting.first', 30)
  await app.page.keyboard.press('h')
  return app
}
