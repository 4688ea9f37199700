import { largestArchive, ModelError, tooLarge } from './modelArchive.ts'

/** Seconds without a byte after which a download counts as broken off: nobody watches it. */
const patience = 60

/**
 * Reads a model's archive whole.
 *
 * @param model its address, or the archive itself
 * @param onProgress told the share that has arrived, 0 to 1 in steps of a hundredth, where the server says how long it is
 * @param most bytes: more is not read
 * @throws ModelError when it is not there, does not arrive whole, or is too large
 */
export async function fetchModel(
  model: string | Blob,
  onProgress: (progress: number) => void,
  most: number = largestArchive,
): Promise<Uint8Array<ArrayBuffer>> {
  if (model instanceof Blob && model.size > most) throw tooLarge(most)
  if (model instanceof Blob) return new Uint8Array(await model.arrayBuffer())
  const response = await fetch(model).catch((cause: unknown) => {
    // the browser does not tell a page which of the two it is
    const problem = `${model} does not answer, or lets no other site fetch it`
    throw new ModelError('out of reach', problem, { cause })
  })
  // a server that answers unknown addresses with the app's own page has no model either
  const isPage = response.headers.get('Content-Type')?.startsWith('text/html') ?? false
  if (!response.ok) throw new ModelError('missing', `${model} answers ${response.status}`)
  if (response.body === null || isPage) throw new ModelError('missing', `${model} is a web page`)
  const total = Number(response.headers.get('Content-Length'))
  if (total > most) {
    await response.body.cancel()
    throw tooLarge(most)
  }
  let loaded = 0
  let percent = 0
  let timer: ReturnType<typeof setTimeout> | undefined
  const wait = (controller: TransformStreamDefaultController<Uint8Array>) => {
    clearTimeout(timer)
    timer = setTimeout(() => controller.error(new Error(`nothing came for ${patience} s`)), patience * 1000)
  }
  const counted = response.body.pipeThrough(
    new TransformStream<Uint8Array, Uint8Array>({
      start: wait,
      transform(chunk, controller) {
        wait(controller)
        loaded += chunk.length
        if (loaded > most) {
          // a server that never ends is not read to the end
          controller.error(tooLarge(most))
          return
        }
        const now = Math.min(100, Math.floor((100 * loaded) / total))
        if (now > percent) onProgress((percent = now) / 100)
        controller.enqueue(chunk)
      },
    }),
  )
  try {
    return new Uint8Array(await new Response(counted).arrayBuffer())
  } catch (cause) {
    if (cause instanceof ModelError) throw cause
    throw new ModelError('broken off', 'the download broke off or is damaged', { cause })
  } finally {
    clearTimeout(timer)
  }
}
