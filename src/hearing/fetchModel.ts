import { ModelError } from './modelArchive.ts'

/** Seconds without a byte after which a download counts as broken off: nobody watches it. */
const patience = 60

/**
 * Reads a model's archive whole.
 *
 * @param model its address, or the archive itself
 * @param onProgress told the share that has arrived, 0 to 1 in steps of a hundredth, where the server says how long it is
 * @throws ModelError when it is not there or does not arrive whole
 */
export async function fetchModel(
  model: string | Blob,
  onProgress: (progress: number) => void,
): Promise<Uint8Array<ArrayBuffer>> {
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
        const now = Math.min(100, Math.floor((100 * loaded) / total))
        if (now > percent) onProgress((percent = now) / 100)
        controller.enqueue(chunk)
      },
    }),
  )
  try {
    return new Uint8Array(await new Response(counted).arrayBuffer())
  } catch (cause) {
    throw new ModelError('broken off', 'the download broke off or is damaged', { cause })
  } finally {
    clearTimeout(timer)
  }
}
