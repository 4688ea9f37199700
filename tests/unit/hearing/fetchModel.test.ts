import { afterEach, expect, it, vi } from 'vitest'
import { fetchModel } from '../../../src/hearing/fetchModel.ts'

afterEach(() => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

/** Has every address answer with these bytes, and then with nothing more; `ends`: it says that they are all. */
function answerWith(bytes: readonly number[], { ends }: { ends: boolean }) {
  const body = new ReadableStream<Uint8Array>({
    start(controller) {
      for (const byte of bytes) controller.enqueue(Uint8Array.of(byte))
      if (ends) controller.close()
    },
  })
  const headers = { 'Content-Length': '4' }
  vi.stubGlobal('fetch', () => Promise.resolve(new Response(body, { headers })))
}

it('gives the whole archive, and tells how far it is', async () => {
  answerWith([1, 2, 3, 4], { ends: true })
  const shares: number[] = []
  expect([...(await fetchModel('model', (share) => shares.push(share)))]).toEqual([1, 2, 3, 4])
  expect(shares).toEqual([0.25, 0.5, 0.75, 1])
})

it('gives a download up that stands still', async () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  answerWith([1, 2], { ends: false })
  let share = 0
  const refused = expect(fetchModel('model', (now) => (share = now))).rejects.toMatchObject({
    problem: 'broken off',
  })
  await vi.waitFor(() => expect(share).toBe(0.5))
  await vi.advanceTimersByTimeAsync(60_000)
  await refused
})

it.each([
  ['says how long it is', true],
  ['never ends', false],
])('does not read more than a model may have, of a server that %s', async (_name, ends) => {
  answerWith(Array<number>(5000).fill(0), { ends })
  if (ends) {
    const headers = { 'Content-Length': '5000' }
    vi.stubGlobal('fetch', () => Promise.resolve(new Response(new Uint8Array(5000), { headers })))
  }
  await expect(fetchModel('model', () => undefined, 1000)).rejects.toMatchObject({ problem: 'too large' })
  await expect(fetchModel(new Blob([new Uint8Array(5000)]), () => undefined, 1000)).rejects.toMatchObject({
    problem: 'too large',
  })
})
