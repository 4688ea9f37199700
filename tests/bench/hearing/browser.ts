import { readFileSync } from 'node:fs'
import type { BrowserContext } from 'playwright-core'
import type { Served } from '../../harness/serveBuilt.ts'
import { toPcm16 } from '../../../audio-fixtures/wav.ts'
import { openHearingPage } from '../../harness/openHearingPage.ts'
import type { Opened, TrialOptions, TrialOutcome } from '../../harness/hearingPage/trials.ts'

/** The hearing page, ready for trials. */
export interface Bench {
  /** seconds to load the engine and the model: the first time, and with a warm browser cache */
  loading: { cold: number; warm: number }
  run(samples: Float32Array, open: Opened, options: TrialOptions): Promise<TrialOutcome>
  /** starts the worker again with other settings */
  restart(options: TrialOptions, model?: string): Promise<void>
  /** what the page's process has used so far */
  cost(): Promise<{ cpuSeconds: number; megabytes: number }>
  close(): Promise<void>
}

export async function openBench(site: Served, model: string, options: TrialOptions): Promise<Bench> {
  const { page, context, close } = await openHearingPage(site)
  let sound = new Int16Array()
  await page.route('**/trial.pcm', (route) => route.fulfill({ body: Buffer.from(sound.buffer) }))
  const open = (address: string, settings: TrialOptions): Promise<number> =>
    page.evaluate(([where, how]) => window.hearingPage.openTrials(where, how), [address, settings] as const)
  const cold = await open(model, options)
  const warm = await open(model, options)
  return {
    loading: { cold, warm },
    run(samples, opened, settings) {
      sound = toPcm16(samples)
      return page.evaluate(([what, how]) => window.hearingPage.runTrial('trial.pcm', what, how), [
        opened,
        settings,
      ] as const)
    },
    async restart(settings, address = model) {
      await open(address, settings)
    },
    cost: () => rendererCost(context),
    close,
  }
}

async function rendererCost(context: BrowserContext): Promise<{ cpuSeconds: number; megabytes: number }> {
  const session = await context.browser()?.newBrowserCDPSession()
  if (session === undefined) throw new Error('the browser cannot be asked about its processes')
  const { processInfo } = await session.send('SystemInfo.getProcessInfo')
  await session.detach()
  const renderers = processInfo.filter(({ type }) => type === 'renderer')
  const megabytes = renderers.map(({ id }) => {
    const [, kilobytes] = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${id}/status`, 'utf8')) ?? []
    return Number(kilobytes) / 1024
  })
  return {
    cpuSeconds: renderers.reduce((sum, { cpuTime }) => sum + cpuTime, 0),
    megabytes: Math.max(0, ...megabytes),
  }
}
