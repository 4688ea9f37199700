import type { Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Cue } from '../../src/messages/cue.ts'
import { earconPattern, renderEarcon } from '../../src/speaking/earcons.ts'
import { findChromium } from '../harness/findChromium.ts'
import { openSpeakingPage, serveSpeakingPage } from '../harness/openSpeakingPage.ts'
import type { Served } from '../harness/serveBuilt.ts'

let site: Served
let opened: Awaited<ReturnType<typeof openSpeakingPage>>
beforeAll(async () => {
  site = await serveSpeakingPage()
})
afterAll(() => site.close())
afterEach(() => opened.close())

async function open(...options: Parameters<Window['speakingPage']['open']>): Promise<Page> {
  opened = await openSpeakingPage(site)
  const { page } = opened
  expect(await page.evaluate((given) => window.speakingPage.open(...given), options)).toBeNull()
  await page.evaluate(() => window.speakingPage.record())
  return page
}

/** Schedules cues, `at` in seconds from now. @returns the bar time that those are counted from */
function perform(page: Page, ...cues: readonly Cue[]): Promise<number> {
  return page.evaluate((given) => {
    const now = window.speakingPage.now()
    const shift = (cue: (typeof given)[number]) => ({
      ...cue,
      ...('at' in cue && cue.at !== undefined && { at: cue.at + now }),
      ...('expires' in cue && cue.expires !== undefined && { expires: cue.expires + now }),
    })
    window.speakingPage.perform(...(given.map(shift) as Cue[]))
    return now
  }, cues)
}

/** The first sample at or after a time that is louder than 40 dB below `peak`, as seconds after it. */
function onsetAfter(
  recording: { start: number; samples: number[] },
  time: number,
  rate: number,
  peak: number,
) {
  const from = Math.max(0, Math.round((time - recording.start) * rate))
  const found = recording.samples.findIndex((sample, index) => index >= from && Math.abs(sample) > peak / 100)
  return found < 0 ? Infinity : recording.start + found / rate - time
}
const loudest = (recording: { start: number; samples: number[] }, from: number, to: number, rate: number) =>
  recording.samples
    .slice(
      Math.max(0, Math.round((from - recording.start) * rate)),
      Math.max(0, Math.round((to - recording.start) * rate)),
    )
    .reduce((peak, sample) => Math.max(peak, Math.abs(sample)), 0)

/** Amplitude of a tone in a sound: one term of the discrete Fourier transform. */
function amplitudeAt(frequency: number, samples: readonly number[], rate: number): number {
  let [cosine, sine] = [0, 0]
  samples.forEach((sample, index) => {
    const phase = (2 * Math.PI * frequency * index) / rate
    cosine += sample * Math.cos(phase)
    sine += sample * Math.sin(phase)
  })
  return (2 * Math.hypot(cosine, sine)) / samples.length
}

describe.skipIf(!findChromium())('the announcer in Chromium, its output recorded on the audio clock', () => {
  test.each([0, 80])(
    'sounds cues within 20 ms of their time, with the page busy for %d ms of 100',
    async (busy) => {
      const page = await open()
      const rate = await page.evaluate(() => window.speakingPage.sampleRate)
      expect(rate).toBe(48_000)
      const cues: Cue[] = [
        { kind: 'earcon', earcon: 'warning', voice: 1, at: 1 },
        { kind: 'earcon', earcon: 'warning', voice: 3, at: 1.5 },
        { kind: 'say', sentence: 'pour.ten', priority: 'mark', at: 2 },
        { kind: 'say', sentence: 'pour.opens', priority: 'mark', at: 3 },
        { kind: 'say', sentence: 'handoff.warning', priority: 'warning', at: 4.5 },
        { kind: 'say', sentence: 'pour.closes', priority: 'mark', at: 6 },
        { kind: 'earcon', earcon: 'limit', voice: 2, at: 7.5 },
        { kind: 'say', sentence: 'pour.over', values: { seconds: 27 }, priority: 'mark', at: 9 },
      ]
      if (busy > 0) await page.evaluate((given) => window.speakingPage.keepBusy(given, 10), busy)
      const start = await perform(page, ...cues)
      await page.waitForFunction((end) => window.speakingPage.now() > end, start + 11, { timeout: 60_000 })
      const recording = await page.evaluate(() => window.speakingPage.recording())
      const late = cues.map((cue) => {
        const at = start + ('at' in cue ? (cue.at ?? 0) : 0)
        // nothing sounds just before, so what is found after it is this cue
        expect(loudest(recording, at - 0.05, at, rate)).toBeLessThan(0.001)
        return 1000 * onsetAfter(recording, at, rate, loudest(recording, at, at + 0.2, rate))
      })
      console.log(
        `busy ${busy} ms: onsets after their time, ms: ${late.map((one) => one.toFixed(1)).join(' ')}`,
      )
      for (const one of late) expect(one).toBeLessThan(20)
      const { said, sounded, speaking, failures } = await page.evaluate(() => window.speakingPage)
      expect(said.map(({ sentence }) => sentence)).toEqual([
        'pour.ten',
        'pour.opens',
        'handoff.warning',
        'pour.closes',
        'pour.over',
      ])
      expect(said.at(-1)).toMatchObject({ text: 'Late. 27.', spoken: true })
      expect(sounded.map(({ earcon, voice }) => `${earcon} ${voice}`)).toEqual([
        'warning 1',
        'warning 3',
        'limit 2',
      ])
      for (const one of said)
        expect(cues.some((cue) => 'at' in cue && Math.abs(start + (cue.at ?? 0) - one.at) < 1e-3)).toBe(true)
      expect(speaking.map((one) => one.speaking)).toEqual(said.flatMap(() => [true, false]))
      expect(failures).toEqual([])
    },
  )

  test('a warning cuts a prompt off, and the prompt is said again after it', async () => {
    const page = await open()
    await perform(page, { kind: 'say', sentence: 'tamp.prompt', priority: 'prompt' })
    await page.waitForFunction(() => window.speakingPage.said.length === 1)
    await page.waitForTimeout(700)
    await perform(page, { kind: 'say', sentence: 'handoff.expired', priority: 'warning' })
    await page.waitForFunction(() => window.speakingPage.said.length === 3)
    const said = await page.evaluate(() => window.speakingPage.said)
    expect(said.map(({ sentence }) => sentence)).toEqual(['tamp.prompt', 'handoff.expired', 'tamp.prompt'])
    expect(said[1]?.at).toBeLessThan(said[0]?.until ?? 0)
    expect(said[2]?.at).toBeCloseTo(said[1]?.until ?? 0, 2)
  })

  test('cancel takes back what has not sounded, hush stops what does, again says the last once more and slower', async () => {
    const page = await open()
    const start = await perform(
      page,
      { kind: 'say', sentence: 'shot.time', values: { seconds: 18.2 }, priority: 'answer' },
      { kind: 'earcon', earcon: 'warning', at: 4.2, tag: 'cup' },
      { kind: 'say', sentence: 'handoff.warning', priority: 'warning', at: 4.2, tag: 'cup' },
      { kind: 'cancel', tag: 'cup' },
    )
    await page.waitForFunction((end) => window.speakingPage.now() > end, start + 6)
    await perform(page, { kind: 'again', slower: true, spelled: false })
    await page.waitForFunction(() => window.speakingPage.said.length === 2)
    await page.waitForTimeout(300)
    await perform(page, { kind: 'hush' })
    await page.waitForTimeout(300)
    const hushed = await page.evaluate(() => window.speakingPage.now())
    await perform(page, { kind: 'again', slower: false, spelled: true })
    await page.waitForFunction(() => window.speakingPage.said.length === 3)
    const { said, sounded, speaking } = await page.evaluate(() => window.speakingPage)
    const rate = await page.evaluate(() => window.speakingPage.sampleRate)
    const recording = await page.evaluate(() => window.speakingPage.recording())
    expect(said.map(({ text }) => text)).toEqual(['18.2 seconds.', '18.2 seconds.', '18.2 seconds.'])
    expect(sounded).toEqual([])
    expect(loudest(recording, start + 4, start + 6, rate)).toBe(0)
    const [plain, slower, spelled] = said.map(({ at, until }) => until - at)
    expect((slower ?? 0) / (plain ?? 1)).toBeCloseTo(1 / 0.75, 2)
    expect(spelled).toBeGreaterThan((plain ?? 0) + 0.3)
    expect(loudest(recording, hushed - 0.2, hushed, rate)).toBe(0)
    expect(speaking.map((one) => one.speaking)).toEqual([true, false, true, false, true])
  })

  test('leaves prompts to the screen when told to, and is as loud as told', async () => {
    const page = await open({ prompts: 'warnings' })
    await perform(page, { kind: 'say', sentence: 'tamp.prompt', priority: 'prompt' })
    await page.waitForFunction(() => window.speakingPage.said.length === 1)
    await page.evaluate(() => window.speakingPage.setSettings({ screenReader: true, loudness: 40 }))
    const start = await perform(
      page,
      { kind: 'say', sentence: 'shot.in-window', priority: 'answer' },
      { kind: 'earcon', earcon: 'logged', at: 0.5 },
      { kind: 'say', sentence: 'handoff.expired', priority: 'warning', at: 1 },
    )
    await page.waitForFunction((end) => window.speakingPage.now() > end, start + 3.5)
    const said = await page.evaluate(() => window.speakingPage.said)
    expect(said.map(({ sentence, spoken }) => [sentence, spoken])).toEqual([
      ['tamp.prompt', false],
      ['shot.in-window', false],
      ['handoff.expired', true],
    ])
    const rate = await page.evaluate(() => window.speakingPage.sampleRate)
    const recording = await page.evaluate(() => window.speakingPage.recording())
    const peak = loudest(recording, start + 0.4, start + 0.95, rate)
    const full = Math.max(...renderEarcon(earconPattern('logged'), rate).map(Math.abs))
    expect(20 * Math.log10(peak / full)).toBeCloseTo(-18, 0) // 40 %: 60 % of 30 dB down
    expect(loudest(recording, start, start + 0.45, rate)).toBe(0)
  })

  test('an earcon without a time of its own keeps under the speech', async () => {
    const page = await open()
    await perform(page, { kind: 'earcon', earcon: 'logged' })
    await page.waitForTimeout(700)
    await perform(
      page,
      { kind: 'say', sentence: 'tamp.prompt', priority: 'answer' },
      { kind: 'earcon', earcon: 'logged' },
    )
    await page.waitForFunction(() => window.speakingPage.sounded.length === 2)
    await page.waitForTimeout(700)
    const sounded = await page.evaluate(() => window.speakingPage.sounded)
    const recording = await page.evaluate(() => window.speakingPage.recording())
    const { beats, pitch } = earconPattern('logged')
    const [alone, under] = sounded.map(({ at }) => {
      const from = Math.round((at + (beats[0]?.on ?? 0) + (beats[0]?.off ?? 0) - recording.start) * 48_000)
      return amplitudeAt(pitch, recording.samples.slice(from, from + 0.3 * 48_000), 48_000)
    })
    // 12 dB, less what the speech itself has at that pitch
    expect(20 * Math.log10((alone ?? 0) / (under ?? 1))).toBeGreaterThan(8)
  })

  test('another voice speaks after a change', async () => {
    const page = await open()
    await perform(page, { kind: 'say', sentence: 'setting.voice', priority: 'answer' })
    await page.waitForFunction(() => window.speakingPage.said.length === 1)
    await page.evaluate(() => window.speakingPage.setSettings({ voice: 2 }))
    await perform(page, { kind: 'say', sentence: 'setting.voice', priority: 'answer' })
    await page.waitForFunction(() => window.speakingPage.said.length === 2)
    const [first, second] = await page.evaluate(() =>
      window.speakingPage.said.map(({ at, until }) => until - at),
    )
    expect(first).not.toBeCloseTo(second ?? 0, 2)
    expect(await page.evaluate(() => window.speakingPage.failures)).toEqual([])
  })

  test('says what is wrong with a missing voice, and earcons sound all the same', async () => {
    opened = await openSpeakingPage(site)
    const { page } = opened
    const failure = await page.evaluate(() => window.speakingPage.open({}, '/nowhere'))
    expect(failure).toMatchObject({ kind: 'voice missing', voice: 'man' })
    await page.evaluate(() => window.speakingPage.record())
    const start = await perform(
      page,
      { kind: 'earcon', earcon: 'trouble', at: 0.3 },
      { kind: 'say', sentence: 'pour.ten', priority: 'mark' },
    )
    await page.waitForFunction((end) => window.speakingPage.now() > end, start + 1)
    const recording = await page.evaluate(() => window.speakingPage.recording())
    expect(loudest(recording, start, start + 1, 48_000)).toBeGreaterThan(0.1)
    expect(await page.evaluate(() => window.speakingPage.failures.map(({ kind }) => kind))).toContain(
      failure?.kind,
    )
  })

  test('says that a voice whose file was cut short is broken', async () => {
    opened = await openSpeakingPage(site)
    const { page } = opened
    await page.route('**/man.opus', async (route) => {
      const whole = await (await route.fetch()).body()
      await route.fulfill({ body: whole.subarray(0, whole.length / 2) })
    })
    const failure = await page.evaluate(() => window.speakingPage.open())
    expect(failure).toMatchObject({ kind: 'voice broken', voice: 'man' })
  })

  test('waits for a touch where the browser asks for one, says so, and then speaks', async () => {
    opened = await openSpeakingPage(site, { gesture: true })
    const { page } = opened
    await page.evaluate(() => window.speakingPage.open())
    await perform(
      page,
      { kind: 'earcon', earcon: 'heard' },
      { kind: 'say', sentence: 'greeting.again', priority: 'prompt' },
    )
    await page.waitForFunction(() => window.speakingPage.failures.length > 0)
    expect(await page.evaluate(() => window.speakingPage.failures)).toEqual([{ kind: 'audio blocked' }])
    expect(await page.evaluate(() => window.speakingPage.said)).toEqual([])
    await page.mouse.click(50, 50)
    await page.waitForFunction(() => window.speakingPage.said.length === 1)
    expect(await page.evaluate(() => window.speakingPage.state())).toBe('running')
    expect(await page.evaluate(() => window.speakingPage.sounded)).toEqual([])
  })
})
