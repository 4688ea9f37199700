import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { rm } from 'node:fs/promises'
import { join } from 'node:path'
import { findChromium, howToInstall } from '../../harness/findChromium.ts'
import { chromiumFlags } from '../../harness/startChromium.ts'

/** Chromium as a process group of its own, so that all of it can be killed at once; `microphone`: the sound file it hears. */
export async function startChromiumProcess(
  profile: string,
  microphone?: string,
): Promise<{ process: ChildProcess; port: number }> {
  const path = findChromium()
  if (!path) throw new Error(howToInstall)
  const portFile = join(profile, 'DevToolsActivePort')
  await rm(portFile, { force: true })
  const started = spawn(
    path,
    [
      ...chromiumFlags,
      '--use-fake-device-for-media-stream',
      '--use-fake-ui-for-media-stream',
      ...(microphone === undefined ? [] : [`--use-file-for-fake-audio-capture=${microphone}%noloop`]),
      '--remote-debugging-port=0',
      `--user-data-dir=${profile}`,
      'about:blank',
    ],
    { detached: true, stdio: 'ignore' },
  )
  for (let tries = 0; tries < 600; tries += 1) {
    const port = existsSync(portFile) ? Number(readFileSync(portFile, 'utf8').split('\n')[0]) : 0
    if (port > 0) return { process: started, port }
    await new Promise((wake) => setTimeout(wake, 50))
  }
  throw new Error('Chromium did not start')
}

export async function kill(browser: ChildProcess): Promise<void> {
  const ended = new Promise((resolve) => browser.once('exit', resolve))
  if (browser.pid !== undefined) process.kill(-browser.pid, 'SIGKILL')
  await ended
}
