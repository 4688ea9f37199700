import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { designDocument } from '../../src/logbook/designDocument.ts'
import { recordId, recordVersion, type LogRecord } from '../../src/logbook/record.ts'
import { newProfile, openPage, servePages } from '../harness/logbookBrowser.ts'
import { startChromium } from '../harness/startChromium.ts'
import type {} from '../harness/logbookPage/page.ts'
import { startCouchServer, type CouchServer } from '../harness/couchServer.ts'

/**
 * Simulated bars on one server: how long a bar's first exchange takes, and the chain's figures, while the chain grows.
 * The server is a real process with its data on the disk, but PouchDB's, not CouchDB: what is to be seen is how cost
 * grows. It adds up a view's figures when it is asked, where CouchDB keeps the sums in its index.
 * `npm run bench -- replication [bars] [shots in all]`
 */
export default async function replication([
  barsText = '50',
  shotsText = '200000',
]: readonly string[]): Promise<void> {
  const [bars, shots] = [Number(barsText), Number(shotsText)]
  const perBar = Math.round(shots / bars)
  const pages = await servePages()
  const folder = await mkdtemp(join(tmpdir(), 'earshot-chain-'))
  const couch = await startCouchServer({ folder })
  await ask(couch, 'PUT', '/chain')
  await ask(couch, 'PUT', '/chain/_design/earshot', designDocument)
  const measured = new Set([1, 5, 20, bars].filter((bar) => bar <= bars))
  const rows: Row[] = []
  try {
    let put = 0
    let index = 0
    for (let bar = 1; bar <= bars; bar += 1) {
      put += await timed(() => putBar(couch, bar, perBar))
      // asking for one row makes the server take what is new into its index
      index += await timed(() => ask(couch, 'GET', '/chain/_design/earshot/_view/shots?reduce=false&limit=1'))
      if (!measured.has(bar)) continue
      const figures = await timed(() => checkFigures(couch, bar, perBar))
      const pull = await timePull(pages.url, couch, bar, perBar)
      const row = { bars: bar, shots: bar * perBar, put, index, figures, pull, memory: await couch.memory() }
      rows.push(row)
      console.log(lineOf(row))
    }
  } finally {
    await couch.stop()
    await pages.close()
    await rm(folder, { recursive: true, force: true })
  }
  const [first, last] = [rows[0], rows.at(-1)]
  if (!first || !last || first === last) return
  const times = (a: number, b: number) => `${(a / b).toFixed(1)} times`
  console.log(
    `from ${first.shots} to ${last.shots} shots (${times(last.shots, first.shots)}): ` +
      `writing and indexing one shot ${times((last.put + last.index) / last.shots, (first.put + first.index) / first.shots)}, ` +
      `the chain's figures ${times(last.figures, first.figures)}, ` +
      `a bar's first filtered pull ${times(last.pull, first.pull)}, memory of the server ${times(last.memory, first.memory)}`,
  )
}

/** Seconds, but for `bars`, `shots` and `memory` in bytes. */
interface Row {
  bars: number
  shots: number
  put: number
  index: number
  figures: number
  pull: number
  memory: number
}

function lineOf({ bars, shots, put, index, figures, pull, memory }: Row): string {
  return (
    `${bars} bars, ${shots} shots: written in ${put.toFixed(1)} s, indexed in ${index.toFixed(1)} s ` +
    `(${(shots / (put + index)).toFixed(0)} a second); chain figures in ${figures.toFixed(2)} s; ` +
    `one bar pulls its ${Math.round(shots / bars)} filtered out of all in ${pull.toFixed(1)} s; ` +
    `server ${(memory / 1024 / 1024).toFixed(0)} MB`
  )
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const began = performance.now()
  await work()
  return (performance.now() - began) / 1000
}

async function ask(couch: CouchServer, method: string, path: string, body?: unknown): Promise<unknown> {
  const response = await fetch(`${couch.url}${path}`, {
    method,
    headers: { 'content-type': 'application/json' },
    ...(body !== undefined && { body: JSON.stringify(body) }),
  })
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${await response.text()}`)
  return response.json()
}

const nameOf = (bar: number) => `bar-${bar}`

/** A bar's shots go up as its devices' replication would send them: in batches of 500, with their revisions. */
async function putBar(couch: CouchServer, bar: number, count: number): Promise<void> {
  for (let from = 0; from < count; from += 500) {
    const docs = Array.from({ length: Math.min(500, count - from) }, (_, i) => {
      const { id, ...rest } = shotOf(bar, from + i)
      const revision = (bar * 1_000_000 + from + i).toString(16).padStart(32, '0')
      return { _id: id, _rev: `1-${revision}`, _revisions: { start: 1, ids: [revision] }, ...rest }
    })
    const answers = (await ask(couch, 'POST', '/chain/_bulk_docs', { new_edits: false, docs })) as unknown[]
    if (answers.length > 0) throw new Error(`refused: ${JSON.stringify(answers[0])}`)
  }
}

function shotOf(bar: number, n: number): LogRecord {
  const at = Date.UTC(2026, 0, 1) / 1000 + n * 120
  const device = `bar${String(bar).padStart(4, '0')}`
  const seconds = 15 + ((n * 7 + bar * 3) % 100) / 10
  return {
    id: recordId(at * 1000, device, n + 1),
    version: recordVersion,
    bar: nameOf(bar),
    device,
    sequence: n + 1,
    wall: new Date(at * 1000).toISOString(),
    entry: {
      id: `e${n}`,
      at,
      kind: 'shot',
      shot: `s${n}`,
      recipe: 'double',
      coffee: 1 + (n % 3),
      grinder: 1,
      seconds,
      windowOpens: 17,
      windowCloses: 22,
      notch: 10,
      purged: true,
      practice: false,
    },
  }
}

/** Asks for shots and shots in the window by bar and coffee, and checks them against a count. */
async function checkFigures(couch: CouchServer, bars: number, perBar: number): Promise<void> {
  const { rows } = (await ask(couch, 'GET', '/chain/_design/earshot/_view/shots?group_level=2')) as {
    rows: { key: [string, number]; value: [number, number] }[]
  }
  let wanted = 0
  for (let bar = 1; bar <= bars; bar += 1)
    for (let n = 0; n < perBar; n += 1) {
      const { entry } = shotOf(bar, n)
      if (entry.kind === 'shot' && entry.seconds >= 17 && entry.seconds <= 22) wanted += 1
    }
  const shots = rows.reduce((sum, row) => sum + row.value[0], 0)
  const inWindow = rows.reduce((sum, row) => sum + row.value[1], 0)
  if (rows.length !== bars * 3 || shots !== bars * perBar || inWindow !== wanted)
    throw new Error(
      `wrong figures: ${rows.length} rows, ${shots} shots, ${inWindow} in the window, not ${wanted}`,
    )
}

/** A new device of the bar, in a real browser, takes in all that its bar has. */
async function timePull(url: string, couch: CouchServer, bar: number, perBar: number): Promise<number> {
  const profile = await newProfile()
  const context = await startChromium(profile)
  try {
    const page = await openPage(context, url)
    return await page.evaluate(
      async ([server, bar, count]) => {
        const log = await window.page.openLogbook({ bar })
        const began = performance.now()
        const replication = window.page.startReplication(log, { url: server })
        while (replication.counts.pulled < count || replication.state !== 'up to date')
          await new Promise((wake) => setTimeout(wake, 20))
        const seconds = (performance.now() - began) / 1000
        await replication.stop()
        await log.close()
        return seconds
      },
      [`${couch.url}/chain`, nameOf(bar), perBar] as const,
    )
  } finally {
    await context.close()
    await rm(profile, { recursive: true, force: true })
  }
}
