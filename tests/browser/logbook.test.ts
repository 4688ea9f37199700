import { mkdir, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { BrowserContext } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import type { Entry } from '../../src/messages/entry.ts'
import { double } from '../unit/logbook/makeRecords.ts'
import { newProfile, openPage, servePages } from '../harness/logbookBrowser.ts'
import { findChromium } from '../harness/findChromium.ts'
import { startChromium } from '../harness/startChromium.ts'
import type {} from '../harness/logbookPage/page.ts'

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

const shot = (n: number, at = Date.now() / 1000): Entry => ({ ...double(`s${n}`, 15 + n), id: `e${n}`, at })

describe.skipIf(!findChromium())('the log in a browser', () => {
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
    expect(found.snapshot).toEqual({ snapshot: { state: 'judge', of: null, deep: [true, null] }, missed: 1 })
  })

  test('asks the browser to write every entry to the disk before it calls it logged', async () => {
    const page = await openPage(context, server.url)
    const durability = await page.evaluate(async (entry) => {
      const log = await window.page.openLogbook()
      const seen: string[] = []
      const original = IDBObjectStore.prototype.put
      IDBObjectStore.prototype.put = function (...args: Parameters<IDBObjectStore['put']>) {
        seen.push(this.transaction.durability)
        return original.apply(this, args)
      }
      await log.append(entry)
      return seen
    }, shot(1))
    expect(durability.length).toBeGreaterThan(0)
    expect(new Set(durability)).toEqual(new Set(['strict']))
  })

  test('finds records by time, the last ones, and one after another over many', async () => {
    const page = await openPage(context, server.url)
    const found = await page.evaluate(
      async (entries) => {
        const log = await window.page.openLogbook()
        await log.append(entries)
        const start = entries[0]?.at ?? 0
        const ids = (records: readonly { entry: { id: string } }[]) => records.map(({ entry }) => entry.id)
        return {
          all: ids(await log.entries()),
          part: ids(await log.entries({ from: start + 10, to: start + 12 })),
          last: ids(await log.entries({ last: 3 })),
          many: ids(await log.entries({ last: 250 })).length,
        }
      },
      Array.from({ length: 400 }, (_, i) => shot(i, 1_772_524_800 + i)),
    )
    expect(found.all).toEqual(Array.from({ length: 400 }, (_, i) => `e${i}`))
    expect(found.part).toEqual(['e10', 'e11', 'e12'])
    expect(found.last).toEqual(['e397', 'e398', 'e399'])
    expect(found.many).toBe(250)
  })

  test('imports, exports, sums up and erases in the real store', async () => {
    const page = await openPage(context, server.url)
    const found = await page.evaluate(
      async (entries) => {
        const log = await window.page.openLogbook()
        await log.append(entries)
        const before = (await log.days.summaries()).map(window.page.dayFigures)
        const file = await window.page.exportLog(log.store, 'CSV')
        const erasure = await log.erase({
          id: 'x',
          at: (entries.at(-1)?.at ?? 0) + 1,
          kind: 'person erased',
          person: 3,
        })
        const again = await window.page.importLog(log, file, 'CSV')
        return {
          before,
          after: (await log.days.summaries()).map(window.page.dayFigures),
          erasure,
          again,
          left: JSON.stringify(await log.entries()).match(/"person":3/g)?.length,
        }
      },
      [
        { ...shot(1, 1_772_524_800), person: 3 },
        { ...shot(2, 1_772_524_860), person: 4 },
        {
          id: 'd',
          at: 1_772_524_900,
          kind: 'drill scored',
          drill: 'fast',
          person: 3,
          score: 1,
          unit: 'seconds',
          passed: true,
        },
      ] as Entry[],
    )
    expect(found.before).toMatchObject([{ shots: 2 }])
    expect(found.after).toEqual(found.before)
    expect(found.erasure).toMatchObject({ changed: 1, removed: 1 })
    expect(found.again).toEqual({ added: 0, already: 2, erased: 1, newer: 0, refused: [] })
    // only the entry that says so
    expect(found.left).toBe(1)
  })
})

describe.skipIf(!findChromium())('when something is wrong', () => {
  test('two windows do not write one log, and the second may wait for the first', async () => {
    const first = await openPage(context, server.url)
    await first.evaluate(async (entry) => {
      window.log = await window.page.openLogbook()
      await window.log.append(entry)
    }, shot(1))
    const second = await openPage(context, server.url)
    const refused = await second.evaluate(() => window.page.attempt(() => window.page.openLogbook()))
    expect(refused).toEqual({ trouble: { kind: 'in use', sentence: 'trouble.log-in-use' } })
    // the first goes on undisturbed
    await first.evaluate((entry) => window.log.append(entry), shot(2))
    const waiting = second.evaluate(async (entry) => {
      const log = await window.page.openLogbook({ wait: true })
      await log.append(entry)
      return (await log.entries()).map((record) => [record.sequence, record.entry.id])
    }, shot(3))
    await first.close()
    expect(await waiting).toEqual([
      [1, 'e1'],
      [2, 'e2'],
      [3, 'e3'],
    ])
  })

  test('a full disk is told, entries are held over a reload, and are logged once there is room', async () => {
    const page = await openPage(context, server.url)
    const protocol = await context.newCDPSession(page)
    const { origin } = new URL(server.url)
    await protocol.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 400_000 })
    const found = await page.evaluate(async (entry) => {
      window.log = await window.page.openLogbook()
      const logged: string[] = []
      for (let n = 1; n < 100; n += 1) {
        const batch = Array.from({ length: 50 }, (_, i) => ({ ...entry, id: `e${n}-${i}` }))
        const outcome = await window.page.attempt(() => window.log.append(batch, { made: n }))
        if (!('value' in outcome)) {
          const kept = (await window.log.entries()).map((record) => record.entry.id)
          return { outcome, logged, kept, unsaved: window.log.unsaved.length, made: n }
        }
        logged.push(...batch.map((each) => each.id))
      }
      return null
    }, shot(1))
    if (!found) throw new Error('the disk did not fill')
    expect(found.outcome).toEqual({ trouble: { kind: 'full', sentence: 'trouble.log-full' } })
    expect(found.unsaved).toBe(50)
    // the batch is not there by halves
    expect(found.kept).toEqual(found.logged)

    await protocol.send('Storage.overrideQuotaForOrigin', { origin })
    await page.reload()
    await page.waitForFunction(() => 'page' in window)
    const after = await page.evaluate(async (entry) => {
      const log = await window.page.openLogbook()
      const snapshot = await log.loadSnapshot()
      await log.append(entry)
      const records = await log.entries()
      return { snapshot, sequences: records.map((record) => record.sequence), unsaved: log.unsaved.length }
    }, shot(2))
    // the machine goes on from what was held, not from before it
    expect(after.snapshot).toEqual({ snapshot: { made: found.made }, missed: 0 })
    const expected = found.logged.length + 51
    expect(after.sequences).toEqual(Array.from({ length: expected }, (_, i) => i + 1))
    expect(after.unsaved).toBe(0)
  })

  test('a full disk that gets room again takes what was held first', async () => {
    const page = await openPage(context, server.url)
    const protocol = await context.newCDPSession(page)
    const { origin } = new URL(server.url)
    await protocol.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 400_000 })
    await page.evaluate(async (entry) => {
      window.log = await window.page.openLogbook()
      for (let n = 1; window.log.unsaved.length === 0; n += 1)
        await window.page.attempt(() =>
          window.log.append(Array.from({ length: 50 }, (_, i) => ({ ...entry, id: `e${n}-${i}` }))),
        )
    }, shot(1))
    await protocol.send('Storage.overrideQuotaForOrigin', { origin })
    const sequences = await page.evaluate(async (entry) => {
      await window.log.append(entry)
      return (await window.log.entries()).map((record) => record.sequence)
    }, shot(2))
    expect(sequences).toEqual(Array.from({ length: sequences.length }, (_, i) => i + 1))
  })

  test('a window that keeps nothing is told, and the bar can go on in memory', async () => {
    await context.close()
    // "block all cookies and site data", as some private windows do
    await mkdir(join(profile, 'Default'), { recursive: true })
    await writeFile(
      join(profile, 'Default/Preferences'),
      JSON.stringify({ profile: { default_content_setting_values: { cookies: 2 } } }),
    )
    context = await startChromium(profile)
    const page = await openPage(context, server.url)
    const refused = await page.evaluate(() => window.page.attempt(() => window.page.openLogbook()))
    expect(refused).toEqual({ trouble: { kind: 'no storage', sentence: 'trouble.no-storage' } })
    const inMemory = await page.evaluate(async (entry) => {
      const log = await window.page.openMemoryLogbook()
      await log.append(entry)
      return { troubles: log.troubles.map((each) => each.kind), entries: (await log.entries()).length }
    }, shot(1))
    expect(inMemory).toEqual({ troubles: ['no storage'], entries: 1 })
  })

  test('storage that was thrown out is told, and the numbers go on', async () => {
    const page = await openPage(context, server.url)
    await page.evaluate(
      async (entries) => {
        const log = await window.page.openLogbook({ device: 'tablet01' })
        await log.append(entries)
        await log.close()
      },
      [shot(1), shot(2)],
    )
    await page.evaluate(
      () =>
        new Promise((resolve, reject) => {
          const request = indexedDB.deleteDatabase('_pouch_earshot')
          request.onsuccess = resolve
          request.onerror = reject
        }),
    )
    const found = await page.evaluate(async (entry) => {
      const log = await window.page.openLogbook({ device: 'tablet01' })
      const [record] = await log.append(entry)
      return { troubles: log.troubles.map((each) => each.kind), sequence: record?.sequence }
    }, shot(3))
    expect(found.troubles).toContain('evicted')
    expect(found.sequence).toBe(3)
  })

  test('storage that is thrown out while the log is open is told, and the last entries come back', async () => {
    const page = await openPage(context, server.url)
    const protocol = await context.newCDPSession(page)
    await page.evaluate(async (entry) => {
      window.log = await window.page.openLogbook()
      await window.log.append(entry)
    }, shot(1))
    await protocol.send('Storage.clearDataForOrigin', {
      origin: new URL(server.url).origin,
      storageTypes: 'indexeddb',
    })
    const told = await page.evaluate((entry) => window.page.attempt(() => window.log.append(entry)), shot(2))
    expect(told).toEqual({ trouble: { kind: 'gone', sentence: 'trouble.log-gone' } })
    await page.reload()
    await page.waitForFunction(() => 'page' in window)
    const after = await page.evaluate(async (entry) => {
      const log = await window.page.openLogbook()
      await log.append(entry)
      return (await log.entries()).map((record) => [record.sequence, record.entry.id])
    }, shot(3))
    expect(after).toEqual([
      [1, 'e1'],
      [2, 'e2'],
      [3, 'e3'],
    ])
  })

  test.each([
    ['ten minutes', 600],
    ['a year', 365 * 86_400],
  ])('a clock that was set back by %s between two starts hides nothing', async (_name, back) => {
    const at = 1_772_524_800
    const open = async (now: number, entry: Entry) => {
      const page = await context.newPage()
      await page.clock.setFixedTime(now * 1000)
      await page.goto(server.url)
      await page.waitForFunction(() => 'page' in window)
      const found = await page.evaluate(async (given) => {
        const log = await window.page.openLogbook()
        await log.append(given)
        const found = {
          troubles: log.troubles.map(({ kind }) => kind),
          entries: (await log.entries()).map(({ entry }) => entry.id).sort(),
        }
        await log.close()
        return found
      }, entry)
      await page.close()
      return found
    }
    expect((await open(at, shot(1, at))).entries).toEqual(['e1'])
    const second = await open(at - back, shot(2, at - back))
    expect(second.entries).toEqual(['e1', 'e2'])
    expect(second.troubles).toContain('clock set back')
    expect((await open(at - back + 60, shot(3, at - back + 60))).entries).toEqual(['e1', 'e2', 'e3'])
  })

  test('a clock that was set back is told, and the order stays', async () => {
    const page = await openPage(context, server.url)
    const found = await page.evaluate(
      async ([a, b]) => {
        const clock = (ms: number) => () => ms
        const first = await window.page.openLogbook({ clock: clock(a.at * 1000) })
        await first.append(a)
        await first.close()
        const second = await window.page.openLogbook({ clock: clock(b.at * 1000) })
        await second.append(b)
        return {
          troubles: second.troubles,
          order: (await second.entries()).map((record) => record.entry.id),
          clocks: (await second.entries()).map((record) => record.entry.at),
        }
      },
      [shot(1, 1_772_524_800), shot(2, 1_772_524_800 - 3600)] as const,
    )
    expect(found.troubles).toContainEqual({
      kind: 'clock set back',
      sentence: 'trouble.clock-set-back',
      values: { minutes: 60 },
    })
    expect(found.order).toEqual(['e1', 'e2'])
    expect(found.clocks).toEqual([1_772_524_800, 1_772_521_200])
  })
})
