import { rm } from 'node:fs/promises'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import type { Entry } from '../../src/messages/entry.ts'
import type { Server } from '../../src/logbook/server.ts'
import { startCouchServer, type CouchServer } from '../harness/couchServer.ts'
import { double, morning } from '../unit/logbook/makeRecords.ts'
import { newProfile, openPage, servePages } from '../harness/logbookBrowser.ts'
import { findChromium } from '../harness/findChromium.ts'
import { startChromium } from '../harness/startChromium.ts'
import type {} from '../harness/logbookPage/page.ts'

const account = { user: 'owner', password: 'a secret' }
const shot = (name: string, seconds: number, at: number, more = {}): Entry => ({
  ...double(name, seconds, more),
  id: name,
  at,
})

let pages: Awaited<ReturnType<typeof servePages>>
let couch: CouchServer
let server: Server
let devices: { profile: string; context: BrowserContext; page: Page }[]

beforeAll(async () => {
  pages = await servePages()
})
afterAll(async () => pages.close())
beforeEach(async () => {
  devices = []
  couch = await startCouchServer(account)
  server = { url: `${couch.url}/chain`, ...account }
  await createDatabase()
})
afterEach(async () => {
  for (const { context, profile } of devices) {
    await context.close()
    await rm(profile, { recursive: true, force: true })
  }
  await couch.stop()
})

async function ask(method: string, path: string, body?: unknown): Promise<unknown> {
  const response = await fetch(`${couch.url}${path}`, {
    method,
    headers: {
      authorization: `Basic ${btoa(`${account.user}:${account.password}`)}`,
      'content-type': 'application/json',
    },
    ...(body !== undefined && { body: JSON.stringify(body) }),
  })
  return response.json()
}

const createDatabase = () => ask('PUT', '/chain')

/** A device of a bar with its own browser. The first one sets the server up, as its administrator would. */
async function newDevice(name: string, bar = 'harbour'): Promise<Page> {
  const profile = await newProfile()
  const context = await startChromium(profile)
  const page = await openPage(context, pages.url)
  devices.push({ profile, context, page })
  await page.evaluate(
    async ([device, bar]) => {
      window.log = await window.page.openLogbook({ device, bar })
    },
    [name, bar] as const,
  )
  if (devices.length === 1) await page.evaluate((server) => window.page.setUpServer(server), server)
  return page
}

async function append(page: Page, entries: Entry[]): Promise<void> {
  await page.evaluate(async (entries) => void (await window.log.append(entries)), entries)
}

async function replicate(page: Page): Promise<void> {
  await page.evaluate(async (server) => {
    window.replication = window.page.startReplication(window.log, server, { firstWait: 50 })
  }, server)
}

/** Waits until a device has so many records. */
async function has(page: Page, count: number): Promise<void> {
  await expect
    .poll(() => page.evaluate(async () => (await window.log.entries()).length), { timeout: 30_000 })
    .toBe(count)
}

const idsOf = (page: Page) =>
  page.evaluate(async () =>
    (await window.log.entries()).map((record) => `${record.device} ${record.entry.id}`),
  )

describe.skipIf(!findChromium())('replication', () => {
  test('brings the devices of one bar together, and no other bar', async () => {
    const [one, two, other] = [
      await newDevice('tablet01'),
      await newDevice('tablet02'),
      await newDevice('tablet03', 'market'),
    ]
    await append(one, [shot('a', 18, morning)])
    await append(two, [shot('b', 19, morning + 1), shot('c', 30, morning + 2)])
    await append(other, [shot('d', 20, morning + 3, { coffee: 2 })])
    for (const page of [one, two, other]) await replicate(page)
    await has(one, 3)
    await has(two, 3)
    expect(await idsOf(one)).toEqual(await idsOf(two))
    expect(await idsOf(other)).toEqual(['tablet03 d'])
    await append(one, [
      shot('e', 18, morning + 10),
      { id: 'u', at: morning + 11, kind: 'taken back', entry: 'a' },
    ])
    await has(two, 5)

    // the chain's figures are of what holds: a is taken back
    const figures = await one.evaluate((server) => window.page.chainFigures(server), server)
    expect(figures.toSorted((a, b) => (a.bar < b.bar ? -1 : 1))).toEqual([
      { bar: 'harbour', coffee: 1, shots: 3, inWindow: 2 },
      { bar: 'market', coffee: 2, shots: 1, inWindow: 1 },
    ])
  })

  test('keeps what a newer program wrote, tells of it, and passes it over', async () => {
    const page = await newDevice('tablet01')
    await append(page, [shot('a', 18, morning)])
    const id = `${(morning + 5) * 1000}-tablet02-0000001`
    const newer = { version: 2, bar: 'harbour', device: 'tablet02', sequence: 1, entry: { kind: 'foam' } }
    expect(await ask('PUT', `/chain/${id}`, newer)).toMatchObject({ ok: true })
    await page.evaluate(() => {
      const incoming = new Promise<number>((resolve) =>
        window.log.onStanding(() => window.log.newer > 0 && resolve(window.log.newer)),
      )
      Object.assign(window, { incoming })
    })
    await replicate(page)
    const found = await page.evaluate(async () => {
      const told = await (window as unknown as { incoming: Promise<number> }).incoming
      await window.replication.stop()
      const erased = { kind: 'person erased', id: 'x', at: Date.now() / 1000, person: 3 } as const
      const { unreached } = await window.log.erase(erased)
      await window.log.close()
      const again = await window.page.openLogbook({ bar: 'harbour' })
      for (let tries = 0; again.newer === 0 && tries < 100; tries += 1)
        await new Promise((wake) => setTimeout(wake, 20))
      return {
        told,
        unreached,
        after: again.newer,
        entries: (await again.entries()).length,
        kept: await again.database?.allDocs().then(({ rows }) => rows.length),
      }
    })
    expect(found).toEqual({
      told: 1,
      unreached: ['erase.exports', 'erase.other-devices', 'erase.newer'],
      after: 1,
      entries: 2,
      kept: 3,
    })
  })

  test('goes on after days without a network, and two edits of one recipe come out the same on three devices', async () => {
    const all = [await newDevice('tablet01'), await newDevice('tablet02'), await newDevice('tablet03')]
    const [one] = all
    if (!one) throw new Error('no device')
    await append(one, [
      {
        id: 'r',
        at: morning,
        kind: 'recipe set',
        recipe: 'house',
        dose: 18,
        window: { opens: 20, closes: 26 },
      },
    ])
    for (const page of all) await replicate(page)
    for (const page of all) await has(page, 1)

    for (const { context } of devices) await context.setOffline(true)
    const edits = [
      { dose: 19 },
      { dose: 20, window: { opens: 24, closes: 28 } },
      { window: { opens: 18, closes: 23 } },
    ]
    for (const [i, page] of all.entries())
      await append(page, [
        { id: 'r2', at: morning + 86_400 * (i + 1), kind: 'recipe set', recipe: 'house', ...edits[i] },
      ])
    await one.waitForFunction(() => window.replication.state === 'waiting')
    for (const { context } of devices) await context.setOffline(false)
    for (const page of all) await has(page, 4)
    const cards = await Promise.all(
      all.map((page) => page.evaluate(async () => window.page.recipeCards(await window.log.days.standing()))),
    )
    expect(cards[1]).toEqual(cards[0])
    expect(cards[2]).toEqual(cards[0])
    expect(cards[0]).toMatchObject([
      {
        values: { dose: 20, window: { opens: 18, closes: 23 } },
        contested: [
          { field: 'dose', holds: { device: 'tablet02' }, aside: { device: 'tablet01' } },
          { field: 'window', holds: { device: 'tablet03' }, aside: { device: 'tablet02' } },
        ],
      },
    ])
    // every edit is still in every log
    expect(await idsOf(one)).toEqual(['tablet01 r', 'tablet01 r2', 'tablet02 r2', 'tablet03 r2'])
  })

  test('fills a server that lost everything from the devices', async () => {
    const page = await newDevice('tablet01')
    await append(page, [shot('a', 18, morning), shot('b', 19, morning + 1)])
    await replicate(page)
    await page.evaluate(() => window.page.reaches(window.replication, 'up to date'))
    const port = Number(new URL(couch.url).port)
    await couch.stop()
    await page.waitForFunction(() => window.replication.state === 'waiting')
    await append(page, [shot('c', 20, morning + 2)])
    couch = await startCouchServer({ port, ...account })
    await createDatabase()
    await page.evaluate((server) => window.page.setUpServer(server), server)
    await expect
      .poll(async () => ((await ask('GET', '/chain/_all_docs')) as { total_rows?: number }).total_rows, {
        timeout: 30_000,
      })
      .toBe(4)
  })

  test('keeps the first of an entry that the server alters or removes, and says so', async () => {
    const page = await newDevice('tablet01')
    await append(page, [shot('a', 18, morning), shot('b', 19, morning + 1), shot('c', 20, morning + 2)])
    await replicate(page)
    await page.evaluate(() => window.page.reaches(window.replication, 'up to date'))
    const before = await page.evaluate(() => window.log.entries())
    // whoever owns the server takes the check away, and then writes what the device would not
    const design = (await ask('GET', '/chain/_design/earshot')) as { validate_doc_update?: string }
    const { validate_doc_update: _check, ...open } = design
    expect(await ask('PUT', '/chain/_design/earshot', open)).toMatchObject({ ok: true })
    const [a, b, c] = (
      (await ask('GET', '/chain/_all_docs?include_docs=true&endkey="A"')) as {
        rows: { doc: { _id: string; _rev: string; entry: object } }[]
      }
    ).rows.map(({ doc }) => doc)
    if (!a || !b || !c) throw new Error('not on the server')
    await ask('PUT', `/chain/${a._id}`, { ...a, entry: { ...a.entry, seconds: 399 } })
    await ask('PUT', `/chain/${b._id}`, { _rev: b._rev, bar: 'harbour', _deleted: true })
    await ask('PUT', `/chain/${c._id}`, { ...c, entry: 'nothing' })
    await expect.poll(() => page.evaluate(() => window.replication.altered), { timeout: 30_000 }).toBe(3)
    expect(await page.evaluate(() => window.log.entries())).toEqual(before)
    // it is not forgotten by a new start
    const again = await page.evaluate(async (server) => {
      await window.replication.stop()
      const replication = window.page.startReplication(window.log, server, { firstWait: 50 })
      await window.page.reaches(replication, 'up to date')
      return replication.altered
    }, server)
    expect(again).toBe(3)
  })

  test('erases a person on the other devices and on the server, what they logged meanwhile too', async () => {
    const one = await newDevice('tablet01')
    const two = await newDevice('tablet02')
    await append(one, [
      shot('a', 18, morning, { person: 3 }),
      { id: 'n', at: morning + 1, kind: 'named', what: 'person', number: 3, name: 'a very own name' },
    ])
    await replicate(one)
    await replicate(two)
    await has(two, 2)
    await devices[1]?.context.setOffline(true)
    await append(two, [
      shot('b', 18, morning + 5, { person: 3 }),
      shot('c', 18, morning + 100, { person: 3 }),
    ])
    await one.evaluate(
      (at) => window.log.erase({ id: 'x', at, kind: 'person erased', person: 3 }),
      morning + 50,
    )
    await devices[1]?.context.setOffline(false)
    const toldOf = (page: Page) =>
      page.evaluate(async () => {
        const records = await window.log.entries()
        const shots = records.filter(({ entry }) => entry.kind === 'shot' && entry.person !== undefined)
        return { records: records.length, shots: shots.map(({ entry }) => entry.id) }
      })
    for (const page of [one, two])
      await expect.poll(() => toldOf(page), { timeout: 30_000 }).toEqual({ records: 4, shots: ['c'] })
    await expect
      .poll(
        async () =>
          JSON.stringify(await ask('GET', '/chain/_all_docs?include_docs=true')).match(/"person":3/g)?.length,
        {
          timeout: 30_000,
        },
      )
      // the shot after the erasure, and the erasure itself
      .toBe(2)
    expect(JSON.stringify(await ask('GET', '/chain/_all_docs?include_docs=true'))).not.toContain(
      'a very own name',
    )
  })

  test('stops at a wrong password, keeps it out of log and exports, and drops records that are none', async () => {
    const page = await newDevice('tablet01')
    await append(page, [shot('a', 18, morning)])
    const state = await page.evaluate(async (server) => {
      const replication = window.page.startReplication(window.log, { ...server, password: 'wrong' })
      await window.page.reaches(replication, 'refused')
      await replication.stop()
      return replication.counts
    }, server)
    expect(state).toEqual({ pulled: 0, pushed: 0, denied: 0 })

    await page.evaluate((server) => window.page.saveServer('earshot', server), server)
    expect(await page.evaluate(() => window.page.loadServer('earshot'))).toEqual(server)
    const files = await page.evaluate(async () => [
      await (await window.page.exportLog(window.log.store, 'CSV')).text(),
      await (await window.page.exportLog(window.log.store, 'JSON Lines')).text(),
    ])
    expect(files.join('')).toContain('tablet01')
    expect(files.join('')).not.toContain(account.password)

    await ask('PUT', '/chain/1772524800000-tablet09-0000001', {
      bar: 'harbour',
      device: 'tablet09',
      version: 1,
      sequence: 1,
      wall: '2026-03-03T08:00:00Z',
      entry: { kind: 'shot', id: 'bad', at: 1, seconds: 'many' },
    })
    await replicate(page)
    await page.waitForFunction(() => window.replication.counts.pulled === 1)
    expect(await idsOf(page)).toEqual(['tablet01 a'])
  })
})
