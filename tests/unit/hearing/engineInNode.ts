import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'

/**
 * The engine and the suppressor look for a browser's worker around them. This gives them enough of one to run in
 * Node, so that unit tests run the real parts.
 */
Object.assign(globalThis, {
  self: globalThis,
  window: globalThis,
  location: { href: 'http://localhost/' },
  addEventListener: () => {},
})

const wasm = createRequire(import.meta.url).resolve('@lichess-org/vosk-browser/dist/vosk.wasm')

/** An address of the engine's WebAssembly that Node can fetch. */
export const wasmUrl = `data:application/wasm;base64,${readFileSync(wasm).toString('base64')}`

/** The embedded model's archive. */
export const embeddedModel = new Uint8Array(
  readFileSync(new URL('../../../public/model/en.tar.gz', import.meta.url)),
)
