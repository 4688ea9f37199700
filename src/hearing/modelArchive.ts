import { unzipSync } from 'fflate'
import { parseTar } from 'nanotar'

/** Why a model cannot be used. Each has a sentence of its own, `model.refused.*`. */
export type ModelProblem =
  'missing' | 'out of reach' | 'broken off' | 'damaged' | 'no model' | 'unreadable' | 'no room'

/** Thrown for a model that cannot be used. The message says in detail what is wrong with it. */
export class ModelError extends Error {
  readonly problem: ModelProblem
  constructor(problem: ModelProblem, message: string, options?: ErrorOptions) {
    super(message, options)
    this.problem = problem
  }
}

/** A Vosk model, unpacked and checked. */
export interface Model {
  /** contents by path below the model's own folder */
  files: ReadonlyMap<string, Uint8Array>
  /** seconds from one output of its network to the next */
  frame: number
  /** every word it has a pronunciation for */
  vocabulary: ReadonlySet<string>
  /** what it says of its licence and origin; null when it says nothing */
  notice: string | null
}

/** Files without which the engine cannot listen for a grammar. */
const needed = ['am/final.mdl', 'conf/model.conf', 'graph/HCLr.fst', 'graph/words.txt']
const features = ['conf/mfcc.conf', 'conf/fbank.conf']

/**
 * Unpacks a Vosk model (tar.gz or zip, one folder at the top) and checks that it is whole.
 *
 * @throws ModelError
 */
export async function unpackModel(archive: Uint8Array<ArrayBuffer>): Promise<Model> {
  const files = new Map<string, Uint8Array>()
  for (const [path, data] of await entries(archive)) files.set(withoutTop(path), data)

  const missing = needed.filter((path) => (files.get(path)?.length ?? 0) === 0)
  if (!features.some((path) => files.has(path))) missing.push(features.join(' or '))
  if (missing.length > 0) throw new ModelError('no model', `the model lacks ${missing.join(', ')}`)

  return { files, frame: frameOf(files), vocabulary: vocabularyOf(files), notice: noticeOf(files) }
}

async function entries(archive: Uint8Array<ArrayBuffer>): Promise<[string, Uint8Array][]> {
  try {
    if (startsWith(archive, [0x1f, 0x8b])) return tarEntries(await gunzip(archive))
    if (isTar(archive)) return tarEntries(archive.buffer)
    if (startsWith(archive, [0x50, 0x4b, 3, 4]))
      return Object.entries(unzipSync(archive)).filter(([path]) => !path.endsWith('/'))
  } catch (error) {
    throw new ModelError('damaged', 'the archive is damaged or cut short', { cause: error })
  }
  throw new ModelError('no model', 'not a tar.gz or zip archive')
}

/** A server that marks tar.gz as encoded has the browser take the gzip off. */
function isTar(archive: Uint8Array): boolean {
  return new TextDecoder().decode(archive.subarray(257, 262)) === 'ustar'
}

function tarEntries(archive: ArrayBuffer): [string, Uint8Array][] {
  const files = parseTar(archive).filter(({ type }) => type === 'file')
  return files.map(({ name, data = new Uint8Array() }) => [name, data])
}

function startsWith(bytes: Uint8Array, magic: readonly number[]): boolean {
  return magic.every((byte, i) => bytes[i] === byte)
}

/** The platform's own reader, which checks the sum at the end: a file cut short is found. */
async function gunzip(bytes: Uint8Array<ArrayBuffer>): Promise<ArrayBuffer> {
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer()
}

function withoutTop(path: string): string {
  return path.replace(/^(\.\/)?[^/]+\//, '')
}

/**
 * The engine believes in 30 ms; the truth is the features' shift times the network's subsampling, with Kaldi's
 * defaults where the model does not say.
 */
function frameOf(files: ReadonlyMap<string, Uint8Array>): number {
  const shift =
    features.map((path) => option(files, path, 'frame-shift')).find((value) => value !== undefined) ?? 10
  const subsampling = option(files, 'conf/model.conf', 'frame-subsampling-factor') ?? 1
  return (shift * subsampling) / 1000
}

function option(files: ReadonlyMap<string, Uint8Array>, path: string, name: string): number | undefined {
  const value = new RegExp(`^\\s*--${name}=([\\d.]+)`, 'm').exec(text(files, path))?.[1]
  return value === undefined ? undefined : Number(value)
}

/** `words.txt` has a word and its number on each line; `<eps>`, `[unk]` and the like are not words. */
function vocabularyOf(files: ReadonlyMap<string, Uint8Array>): Set<string> {
  const words = text(files, 'graph/words.txt')
    .split('\n')
    .map((line) => line.split(/\s/)[0] ?? '')
  return new Set(words.filter((word) => /^[^<[#!]/.test(word)))
}

function noticeOf(files: ReadonlyMap<string, Uint8Array>): string | null {
  const paths = [...files.keys()].filter((path) => /^(licen[cs]e|notice|copying|readme)[^/]*$/i.test(path))
  return paths.length === 0 ? null : paths.map((path) => text(files, path).trim()).join('\n\n')
}

function text(files: ReadonlyMap<string, Uint8Array>, path: string): string {
  return new TextDecoder().decode(files.get(path))
}
