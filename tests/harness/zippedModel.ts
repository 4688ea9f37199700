import { readFileSync } from 'node:fs'
import { gunzipSync, zipSync } from 'fflate'
import { parseTar } from 'nanotar'

const embedded = new Uint8Array(readFileSync(new URL('../../public/model/en.tar.gz', import.meta.url)))
const files = new Map(
  parseTar(gunzipSync(embedded).slice().buffer).map(({ name, data = new Uint8Array() }) => [name, data]),
)

/** A file of the embedded model. */
export const modelFile = (name: string): Uint8Array => files.get(`model/${name}`) ?? new Uint8Array()

/** The embedded model as a zip, with some of its files changed, and without the mark of our own kind: as any Vosk model is. */
export function zippedModel(changed: Record<string, string | Uint8Array>): Buffer {
  const all = Object.fromEntries(files)
  delete all['model/units.txt']
  for (const [name, data] of Object.entries(changed))
    all[`model/${name}`] = typeof data === 'string' ? new TextEncoder().encode(data) : data
  return Buffer.from(zipSync(all, { level: 1 }))
}

/** The embedded model as if it had never heard of some words, with a licence. */
export const modelLacking = (...words: readonly string[]): Buffer =>
  zippedModel({
    'graph/words.txt': words.reduce(
      (list, word) => list.replace(new RegExp(`^${word} `, 'm'), `un${word} `),
      new TextDecoder().decode(modelFile('graph/words.txt')),
    ),
    LICENSE: 'Do as you like.',
  })

/** It has never heard of milk. */
export const milklessModel = (): Buffer => modelLacking('milk')
