import type { OpenedApp } from './openApp.ts'

/** Does the one thing that has to be done by hand: wakes the app, which then opens the microphone. */
export async function startShift(app: OpenedApp): Promise<void> {
  await app.page.getByRole('button').first().click()
  await app.waitFor((observation) => observation.kind === 'listening' && observation.listening === 'on', 60)
}
