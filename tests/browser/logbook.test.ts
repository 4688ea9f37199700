import { rm } from 'node:fs/promises'
import type { BrowserContext } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import type { Entry } from '../../src/messages/entry.ts'
import { newProfile, openPage, servePages, startChromium } from './logbookBrowser.ts'
import type {} from './pages/logbookPage.ts'

let server: Awaited<ReturnType<typeof servePages>>
let profile: string
let context: BrowserContext

beforeAll(async () => {
  server = await servePages()
})
afterAll(async () => server.close())
beforeEach(async () => {
  profile = await newProfile()
  context = await startChromium(profile)
})
afterEach(async () => {
  await context.close()
  await rm(profile, { recursive: true, force: true })
})

const shot = (n: number, at: number): Entry => ({
  id: `e${n}`,
  at,
  kind: 'shot',
  shot: `s${n}`,
  recipe: 'double',
  coffee: 1,
  grinder: 1,
  seconds: 15 + n,
  windowOpens: 17,
  windowCloses: 22,
  notch: n,
  purged: true,
  practice: false,
})

describe('the log in a browser', () => {
  test('keeps entries and the snapshot over a restart of the browser', async () => {
    const at = Date.now() / 1000
    const first = await openPage(context, server.url)
    await first.evaluate(
      async ([a, b]) => {
        const log = await window.page.openLogbook({ device: 'tablet01' })
        await log.append({
          id: 'open',
          at: a.at - 1,
          kind: 'shift opened',
          coffee: 1,
          grinder: 2,
          recipe: 'double',
        })
        await log.append(a, { state: 'judge', of: null, deep: [true, undefined] })
        await log.append(b)
      },
      [shot(1, at), shot(2, at + 30)] as const,
    )
    await context.close()
    context = await startChromium(profile)
    const second = await openPage(context, server.url)
    const found = await second.evaluate(async () => {
      const log = await window.page.openLogbook()
      return {
        shift: await log.shift(),
        snapshot: await log.loadSnapshot(),
        device: log.device,
        troubles: log.troubles,
      }
    })
    expect(found.device).toBe('tablet01')
    expect(found.troubles.map((each) => each.kind)).not.toContain('evicted')
    expect(found.shift.map((record) => record.entry.id)).toEqual(['open', 'e1', 'e2'])
    expect(found.shift[1]?.entry).toEqual(shot(1, at))
    expect(found.shift.map((record) => record.sequence)).toEqual([1, 2, 3])
    expect(found.snapshot?.snapshot).toEqual({ state: 'judge', of: null, deep: [true, null] })
    expect(found.snapshot?.later.map((record) => record.entry.id)).toEqual(['e2'])
  })
})
