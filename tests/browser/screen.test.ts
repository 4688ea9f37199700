import axe from 'axe-core'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { findChromium } from '../harness/findChromium.ts'
import { openApp, type OpenedApp } from '../harness/openApp.ts'
import { serveBuilt, type Served } from '../harness/serveBuilt.ts'
import { wakeApp } from '../harness/wakeApp.ts'

const everything = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
/** All that depends on the look. */
const contrast = ['color-contrast']

/** What axe finds, with where: WCAG 2.2 AA and its own good practice, or single rules. */
async function violations(page: Page, rules: readonly string[]): Promise<string[]> {
  await page.evaluate(axe.source)
  const { violations, passes } = await page.evaluate(
    (runOnly) => (window as unknown as { axe: typeof axe }).axe.run(document, { runOnly }),
    [...rules],
  )
  // a page that was not looked at has no violations either
  expect(passes.length).toBeGreaterThan(rules === everything ? 10 : 0)
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')}: ${failureSummary}`),
  )
}

/** The ground of each look, from `tokens.css`. */
const grounds = { light: 'rgb(250, 247, 242)', dark: 'rgb(21, 16, 12)', contrast: 'rgb(0, 0, 0)' } as const

/** Controls that are smaller than 44 by 44 pixels, and how far the page is wider than its window. */
const misfits = (page: Page) =>
  page.evaluate(() => {
    const small = [
      ...document.querySelectorAll('button, summary, nav a, input:not([type=radio], [type=checkbox])'),
    ]
      .filter((element) => element.checkVisibility())
      .map((element) => ({ text: element.textContent?.trim(), box: element.getBoundingClientRect() }))
      .filter(({ box }) => box.width < 44 || box.height < 44)
      .map(({ text, box }) => `${text}: ${box.width} x ${box.height}`)
    const over = document.documentElement.scrollWidth - window.innerWidth
    return over > 0 ? [...small, `${over} px too wide`] : small
  })

describe.skipIf(findChromium() === undefined)('the screen', () => {
  let site: Served
  let app: OpenedApp
  beforeAll(async () => {
    site = await serveBuilt()
    app = await openApp({ url: site.url })
  })
  afterAll(async () => {
    await app.close()
    await site.close()
  })

  const press = async (...keys: string[]) => {
    for (const key of keys) await app.page.keyboard.press(key)
  }
  const arrive = (state: string) =>
    app.page.waitForFunction(
      (heading) => document.querySelector('h1')?.textContent?.trim() === heading,
      state,
    )
  const open = async (view: string) => {
    await app.page.evaluate((name) => (location.hash = name), view)
    await app.page.waitForSelector(`main[data-view=${view}]`)
  }

  /** Checks what is shown: WCAG once, contrast in every look, and the layout at every width. */
  async function check(what: string) {
    const { page } = app
    const found: string[] = []
    for (const look of ['light', 'dark', 'contrast'] as const) {
      await page.evaluate((name) => (document.documentElement.dataset['look'] = name), look)
      expect(await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor)).toBe(
        grounds[look],
      )
      found.push(
        ...(await violations(page, look === 'light' ? everything : contrast)).map(
          (violation) => `${what}, ${look}: ${violation}`,
        ),
      )
    }
    await page.evaluate(() => delete document.documentElement.dataset['look'])
    // 640 is 1280 at 200 %, 320 is 1280 at 400 %
    for (const width of [320, 390, 640, 1280, 2560]) {
      await page.setViewportSize({ width, height: width > 700 ? 800 : 844 })
      found.push(...(await misfits(page)).map((misfit) => `${what}, ${width} px: ${misfit}`))
    }
    await page.setViewportSize({ width: 1280, height: 800 })
    expect(found).toEqual([])
  }

  it('is accessible and fits before the start', async () => {
    await app.page.waitForSelector('h1')
    await check('welcome')
  })

  it('leads through the loop by keyboard alone, accessible and fitting in every place', async () => {
    await wakeApp(app)
    await arrive('Before the shift')
    await check('closed')
    await press('o')
    await arrive('Grind')
    await check('grind')
    await press('d')
    await app.page.waitForSelector('dialog[open]')
    await check('number pad')
    await press('9', '9', 'Enter')
    expect(await app.page.getByRole('alert').textContent()).toContain('99 is outside 5 to 40')
    await press('Backspace', 'Backspace', '1', '8', '.', '5', 'Enter')
    await arrive('Tamp')
    await press('Space')
    await arrive('Ready to pull')
    await press('q', '2', 'Enter')
    await press('Space')
    await arrive('Pouring')
    const began = Date.now()
    await check('pouring')
    // too fast, but fit to be served
    await app.page.waitForTimeout(Math.max(0, 14_000 - (Date.now() - began)))
    await press('Space')
    await arrive('Judge')
    await app.page.waitForSelector('text=Cup 2')
    await press('2')
    await press('Shift+Delete')
    await app.page.waitForSelector('text=Yes or no.')
    await check('confirming')
    await press('y')
    await press('l')
    await app.page.waitForSelector('dialog[open]')
    await check('choice')
    await press('3')
    await app.waitFor((seen) => seen.kind === 'logged' && seen.entry.kind === 'judged', 10)
    await check('judge')
    await press('Enter')
    await arrive('Adjust')
    await check('adjust')
    await press('Enter')
    await arrive('Grind')
    await app.waitFor((seen) => seen.kind === 'logged' && seen.entry.kind === 'grind moved', 10)
    const logged = app.observations.flatMap((seen) => (seen.kind === 'logged' ? [seen.entry] : []))
    expect(logged.map(({ kind }) => kind)).toEqual(
      expect.arrayContaining(['shift opened', 'shot', 'hand-off', 'judged', 'grind moved']),
    )
    expect(logged.filter(({ kind }) => kind === 'hand-off')).toMatchObject([
      { outcome: 'served', into: 'milk' },
      { outcome: 'discarded' },
    ])
  })

  it('is accessible and fits while cups wait', async () => {
    // long enough to look at it in every way
    await press('j', 'Shift+L', '3', '0', 'Enter', 'Enter')
    await press('u', 'g')
    await arrive('Pouring')
    // too fast, but fit to be served
    await app.page.waitForTimeout(14_000)
    await press('s')
    await app.page.waitForSelector('text=Waiting cups')
    await check('cups')
    expect(await app.page.locator('text=Waiting cups').count()).toBe(1)
    await press('3')
  })

  it('is accessible and fits while it does not listen, and with something wrong', async () => {
    await press('p')
    await app.page.waitForSelector('.listening:text("Not listening")')
    await check('paused')
    await press('p')
    await app.page.evaluate(() => {
      navigator.mediaDevices.enumerateDevices = async () => []
      navigator.mediaDevices.dispatchEvent(new Event('devicechange'))
    })
    await app.page.waitForSelector('.trouble')
    await check('trouble')
  })

  it.each(['shift', 'settings', 'help', 'drills'])(
    'is accessible and fits in the view "%s"',
    async (view) => {
      await open(view)
      await check(view)
    },
  )

  it('is accessible and fits in a drill', async () => {
    await press('Enter', 'Enter')
    await press('Shift+D', '4', 'Enter')
    await app.page.waitForSelector('text=Step 1 of')
    await check('drill')
    await press('Shift+Q')
  })

  it('prints the shift on one page', async () => {
    await open('shift')
    await app.page.waitForSelector('canvas')
    const pdf = await app.page.pdf({ format: 'A4' })
    expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1)
  })

  it('shows the charts as a table', async () => {
    await open('shift')
    const headings = await app.page.locator('table thead th').allTextContents()
    expect(headings).toEqual(
      expect.arrayContaining(['Seconds', 'Notch', 'Drift, %', 'Control limits, s', 'Left, s']),
    )
    expect(await app.page.locator('tbody tr').count()).toBe(
      app.observations.filter((seen) => seen.kind === 'logged' && seen.entry.kind === 'shot').length,
    )
  })

  it('leaves answers to a screen reader when told to, and says nothing twice', async () => {
    await open('bar')
    const region = app.page.locator('[data-region=answer]')
    expect(await region.textContent()).toBe('')
    await open('settings')
    await app.page.getByLabel('A screen reader speaks answers').check()
    await press('Escape')
    await open('bar')
    await app.page.locator('h1').click()
    const before = app.observations.length
    await press('w')
    await app.page.waitForFunction(
      () => document.querySelector('[data-region=answer]')?.textContent?.includes('notch') ?? false,
    )
    const said = app.observations.slice(before).flatMap((seen) => (seen.kind === 'said' ? [seen] : []))
    expect(said.filter(({ spoken }) => spoken)).toEqual([])
    await open('settings')
    await app.page.getByLabel('A screen reader speaks answers').uncheck()
    await open('bar')
    expect(await region.textContent()).toBe('')
  })

  it('learns the pedal from any key, and obeys it', async () => {
    await open('settings')
    await app.page.getByRole('button', { name: 'Learn pedal' }).click()
    await press('b')
    await app.page.waitForSelector('kbd:text("KeyB")')
    const before = app.observations.length
    await open('bar')
    await press('b')
    await expect
      .poll(() => app.observations.slice(before).filter((seen) => seen.kind === 'heard'))
      .toMatchObject([{ command: { source: 'pedal' } }])
  })

  it('wrote no error', () => {
    expect(app.errors).toEqual([])
  })
})
