import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { clipOf } from '../../audio-fixtures/clips.ts'
import { speechSpan } from '../../audio-fixtures/energy.ts'
import { renderSession } from '../../audio-fixtures/renderSession.ts'
import type { Session } from '../../audio-fixtures/session.ts'
import { findChromium } from '../harness/findChromium.ts'
import { type OpenedApp, openApp } from '../harness/openApp.ts'

/** Three words, the last two exactly two seconds apart. */
const session: Session = {
  title: 'for this test',
  voice: 'slt',
  leadIn: 1,
  leadOut: 1,
  background: [],
  lines: [
    { wait: 0, say: 'next', level: 0, talk: false },
    { wait: 0.5, say: 'start', pour: 'starts', level: 0, talk: false },
    { poured: 2, say: 'stop', pour: 'ends', level: 0, talk: false },
  ],
  log: [],
}

/** Opens the page's microphone and gives what it heard in so many seconds, at 16 kHz. */
async function listen(app: OpenedApp, seconds: number): Promise<Float32Array> {
  const heard = await app.page.evaluate(async (seconds) => {
    const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false }
    const stream = await navigator.mediaDevices.getUserMedia({ audio: plain })
    const context = new AudioContext({ sampleRate: 16000 })
    const processor = `registerProcessor('listen', class extends AudioWorkletProcessor {
      process(inputs) { if (inputs[0][0]) this.port.postMessage(inputs[0][0].slice()); return true }
    })`
    await context.audioWorklet.addModule(
      URL.createObjectURL(new Blob([processor], { type: 'text/javascript' })),
    )
    const node = new AudioWorkletNode(context, 'listen')
    const samples: number[] = []
    node.port.onmessage = ({ data }: MessageEvent<Float32Array>) => samples.push(...data)
    context.createMediaStreamSource(stream).connect(node)
    await new Promise((resolve) => setTimeout(resolve, seconds * 1000))
    return samples
  }, seconds)
  return Float32Array.from(heard)
}

describe.skipIf(!findChromium())('the microphone of the tests', () => {
  let server: Server
  let url: string
  beforeAll(async () => {
    server = createServer((_, response) =>
      response.setHeader('content-type', 'text/html').end('<p>a page</p>'),
    )
    await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve))
    url = `http://localhost:${(server.address() as AddressInfo).port}`
  })
  afterAll(() => server?.close())

  test('hears a session with its times kept to 10 ms', async () => {
    const recording = await renderSession(session)
    const app = await openApp({ url, microphone: recording.samples })
    const heard = await listen(app, 6)
    await app.close()
    const spans = recording.spoken.map(({ onset, end }) => {
      const from = Math.round((onset - 0.2) * 16000)
      const { onset: into } = speechSpan(heard.slice(from, Math.round((end + 0.1) * 16000)))
      return from / 16000 + into
    })
    const [next, start, stop] = spans as [number, number, number]
    const [nextTrue, startTrue] = recording.spoken.map((line) => line.onset) as [number, number]
    expect(Math.abs(stop - start - (recording.pours[0] ?? NaN))).toBeLessThan(0.01)
    expect(Math.abs(start - next - (startTrue - nextTrue))).toBeLessThan(0.01)
  })

  test('hears what is said to it live, and what goes to the loudspeaker is recorded', async () => {
    const { samples } = await clipOf('slt', 'open shift')
    const app = await openApp({ url, microphone: 'live' })
    const listening = listen(app, 3)
    await new Promise((resolve) => setTimeout(resolve, 500))
    await app.page.evaluate((spoken) => window.pageSound.speak(spoken), [...samples])
    const heard = speechSpan(await listening)
    expect(heard.end - heard.onset).toBeCloseTo(samples.length / 16000, 1)

    const toneBegins = 0.3
    const loudspeaker = await app.page.evaluate(async (begins) => {
      const context = new AudioContext()
      const tone = new OscillatorNode(context, { frequency: 1000 })
      tone.connect(context.destination)
      await new Promise((resolve) => setTimeout(resolve, 300))
      const from = context.currentTime
      window.pageSound.noteTime(from)
      tone.start(from + begins)
      tone.stop(from + begins + 0.5)
      await new Promise((resolve) => setTimeout(resolve, 1200))
      return window.pageSound.loudspeaker(from, from + 1)
    }, toneBegins)
    await app.close()
    const tone = speechSpan(Float32Array.from(loudspeaker))
    expect(tone.onset).toBeCloseTo(toneBegins, 1)
    const upward = loudspeaker.filter((sample, at, all) => sample >= 0 && (all[at - 1] ?? 0) < 0)
    expect(upward.length).toBeGreaterThan(490)
    expect(upward.length).toBeLessThan(510)
  })
})
