import { ModelError } from './modelArchive.ts'

/** Thrown when a model cannot be had from its address. */
export class ModelMissing extends Error {}

/**
 * Reads a model's archive whole.
 *
 * @param model its address, or the archive itself
 * @param onProgress told the share that has arrived, 0 to 1 in steps of a hundredth, where the server says how long it is
 * @throws ModelMissing when it is not there, ModelError when it breaks off
 */
export async function fetchModel(
  model: string | Blob,
  onProgress: (progress: number) => void,
): Promise<Uint8Array<ArrayBuffer>> {
  if (model instanceof Blob) return new Uint8Array(await model.arrayBuffer())
  const response = await fetch(model).catch((cause: unknown) => {
    throw new ModelMissing(`no model at ${model}`, { cause })
  })
  // a server that answers unknown addresses with the app's own page has no model either
  const isPage = response.headers.get('Content-Type')?.startsWith('text/html') ?? false
  if (!response.ok || response.body === null || isPage) throw new ModelMissing(`no model at ${model}`)
  const total = Number(response.headers.get('Content-Length'))
  let loaded = 0
  let percent = 0
  const counted = response.body.pipeThrough(
    new TransformStream<Uint8Array, Uint8Array>({
      transform(chunk, controller) {
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
    throw new ModelError('the download broke off or is damaged', { cause })
  }
}
