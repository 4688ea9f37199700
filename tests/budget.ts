import { readdirSync, readFileSync, statSync } from 'node:fs'
import { gzipSync } from 'node:zlib'

/**
 * `npm run budget`: what a first visit transfers, against its budget, of what is built. Text and WebAssembly are
 * counted as a server sends them, compressed; models, voices and pictures are compressed already.
 */
const megabyte = 1e6
const budgets: readonly { name: string; most: number; of: RegExp }[] = [
  { name: 'everything', most: 20 * megabyte, of: /^(?!_headers)/ },
  { name: 'model', most: 10 * megabyte, of: /^model\// },
  { name: 'voices', most: 9.5 * megabyte, of: /^voices\// },
  { name: 'page, its code and styles', most: 0.5 * megabyte, of: /^(index\.html|assets\/index.*)$/ },
]

const dist = new URL('../dist/', import.meta.url)
const files = readdirSync(dist, { recursive: true, encoding: 'utf8' })
  .filter((path) => statSync(new URL(path, dist)).isFile())
  .map((path) => ({ path, bytes: transferred(path) }))

function transferred(path: string): number {
  const content = new Uint8Array(readFileSync(new URL(path, dist)))
  return /\.(js|css|html|svg|wasm|json|webmanifest)$/.test(path) ? gzipSync(content).length : content.length
}

for (const { name, most, of } of budgets) {
  const bytes = files.filter(({ path }) => of.test(path)).reduce((sum, file) => sum + file.bytes, 0)
  const isOver = bytes > most
  console.log(
    `${isOver ? 'OVER' : 'ok  '} ${name}: ${(bytes / megabyte).toFixed(2)} of ${(most / megabyte).toFixed(2)} MB`,
  )
  if (isOver) process.exitCode = 1
}
