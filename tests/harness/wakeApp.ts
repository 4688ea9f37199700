import type { OpenedApp } from './openApp.ts'

/** Does the one thing that has to be done by hand: any key wakes the app, which then opens the microphone. */
export async function wakeApp(app: OpenedApp): Promise<void> {
  await app.page.keyboard.press('Space')
  await app.waitFor((observation) => observation.kind === 'listening' && observation.listening === 'on', 60)
}
