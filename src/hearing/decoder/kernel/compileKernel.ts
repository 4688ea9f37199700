import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { main } from 'assemblyscript/asc'
import type { Plugin } from 'vite'

const source = fileURLToPath(new URL('./kernel.as.ts', import.meta.url))

let compiled: Promise<Uint8Array<ArrayBuffer>> | null = null

/** The WebAssembly of `kernel.as.ts`. For the build and for Node; the page gets it from {@link kernelPlugin}. */
export function compileKernel(): Promise<Uint8Array<ArrayBuffer>> {
  return (compiled ??= compile())
}

async function compile(): Promise<Uint8Array<ArrayBuffer>> {
  let bytes: Uint8Array<ArrayBuffer> | null = null
  const options = ['--outFile', 'kernel.wasm', '--runtime', 'stub', '--importMemory', '--enable', 'simd']
  const { error, stderr } = await main(['kernel.as.ts', ...options, '-O3', '--noAssert'], {
    readFile: (name) => (name === 'kernel.as.ts' ? readFileSync(source, 'utf8') : null),
    writeFile: (_name, contents) => {
      if (typeof contents !== 'string') bytes = Uint8Array.from(contents)
    },
    listFiles: () => [],
  })
  if (error !== null) throw new Error(`the kernel does not compile: ${stderr.toString()}`, { cause: error })
  if (bytes === null) throw new Error('the kernel gave no WebAssembly')
  return bytes
}

/** What `kernel.as.ts` is imported as. */
const name = 'virtual:kernel'

/** Lets a bundle import the kernel's WebAssembly from `virtual:kernel`: a few hundred bytes, written into the code. */
export function kernelPlugin(): Plugin {
  return {
    name: 'kernel',
    resolveId: (id) => (id === name ? `\0${name}` : null),
    async load(id) {
      if (id !== `\0${name}`) return null
      this.addWatchFile(source)
      return `export default Uint8Array.of(${(await compileKernel()).join()})`
    },
  }
}
