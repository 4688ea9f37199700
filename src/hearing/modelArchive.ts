import { Unzip, UnzipInflate } from 'fflate'
import { parseTar } from 'nanotar'

/** Why a model cannot be used. Each has a sentence of its own, `model.refused.*`. */
export type ModelProblem =
  'missing' | 'out of reach' | 'broken off' | 'damaged' | 'no model' | 'unreadable' | 'no room' | 'too large'

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
  /** the phones that its network scores, two outputs each, when it is one of our own kind; null for any other Vosk model */
  units: readonly string[] | null
  /** what it says of its licence and origin; null when it says nothing */
  notice: string | null
}

/** Most bytes of an archive. The largest Vosk model that a browser can work with is a third of that. */
export const largestArchive = 256 * 1024 * 1024

/** Most bytes that an archive may unpack to: a small file can hold any number of zeros. */
export const largestModel = 512 * 1024 * 1024

/** Files without which the engine cannot listen for a grammar. */
const needed = ['am/final.mdl', 'conf/model.conf', 'graph/HCLr.fst', 'graph/words.txt']
const features = ['conf/mfcc.conf', 'conf/fbank.conf']

/**
 * Unpacks a Vosk model (tar.gz or zip, one folder at the top) and checks that it is whole.
 *
 * @throws ModelError
 */
export async function unpackModel(
  archive: Uint8Array<ArrayBuffer>,
  most: number = largestModel,
): Promise<Model> {
  if (archive.length > largestArchive) throw tooLarge(largestArchive)
  const files = new Map<string, Uint8Array>()
  for (const [path, data] of await entries(archive, most)) files.set(withoutTop(path), data)

  const missing = needed.filter((path) => (files.get(path)?.length ?? 0) === 0)
  if (!features.some((path) => files.has(path))) missing.push(features.join(' or '))
  if (missing.length > 0) throw new ModelError('no model', `the model lacks ${missing.join(', ')}`)

  return {
    files,
    frame: frameOf(files),
    vocabulary: vocabularyOf(files),
    units: files.has('units.txt') ? text(files, 'units.txt').trim().split('\n') : null,
    notice: noticeOf(files),
  }
}

async function entries(archive: Uint8Array<ArrayBuffer>, most: number): Promise<[string, Uint8Array][]> {
  try {
    if (startsWith(archive, [0x1f, 0x8b])) return tarEntries(await gunzip(archive, most))
    if (isTar(archive)) return tarEntries(archive.buffer)
    if (startsWith(archive, [0x50, 0x4b, 3, 4])) return unzip(archive, most)
  } catch (error) {
    if (error instanceof ModelError) throw error
    throw new ModelError('damaged', 'the archive is damaged or cut short', { cause: error })
  }
  throw new ModelError('no model', 'not a tar.gz or zip archive')
}

export const tooLarge = (most: number) =>
  new ModelError('too large', `more than ${Math.round(most / 1024 / 1024)} MB`)

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

/**
 * The platform's own reader, which checks the sum at the end: a file cut short is found. It is stopped as soon as more
 * comes out of it than a model may have, so memory is bounded whatever the archive claims.
 */
async function gunzip(bytes: Uint8Array<ArrayBuffer>, most: number): Promise<ArrayBuffer> {
  let size = 0
  const counted = new TransformStream<Uint8Array, Uint8Array>({
    transform(chunk, controller) {
      size += chunk.length
      if (size > most) controller.error(tooLarge(most))
      else controller.enqueue(chunk)
    },
  })
  const unpacked = new Blob([bytes])
    .stream()
    .pipeThrough(new DecompressionStream('gzip'))
    .pipeThrough(counted)
  return new Response(unpacked).arrayBuffer()
}

/** How much of a zip is read at once: what comes out of it is counted after each part. */
const zipPart = 64 * 1024

/** The files of a zip, counted as they come out: what its directory says of their sizes is not believed. */
function unzip(archive: Uint8Array, most: number): [string, Uint8Array][] {
  if (!hasDirectory(archive)) throw new Error('the directory at its end is missing')
  const files: [string, Uint8Array][] = []
  let size = 0
  let started = 0
  const reader = new Unzip((file) => {
    if (file.name.endsWith('/')) return
    started += 1
    const parts: Uint8Array[] = []
    file.ondata = (error, part, isLast) => {
      if (error) throw error
      size += part.length
      if (size > most) throw tooLarge(most)
      parts.push(part)
      if (isLast) files.push([file.name, joined(parts)])
    }
    file.start()
  })
  reader.register(UnzipInflate)
  for (let at = 0; at < archive.length; at += zipPart)
    reader.push(archive.subarray(at, at + zipPart), at + zipPart >= archive.length)
  if (files.length < started) throw new Error('a file of the archive does not end')
  return files
}

/** Whether the record that ends every zip is there (APPNOTE.TXT 4.3.16), so that one cut short is found. */
function hasDirectory(archive: Uint8Array): boolean {
  const view = new DataView(archive.buffer, archive.byteOffset, archive.length)
  const first = Math.max(0, archive.length - 22 - 65_535)
  for (let at = archive.length - 22; at >= first; at -= 1)
    if (view.getUint32(at, true) === 0x06054b50) return true
  return false
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    whole.set(part, at)
    at += part.length
  }
  return whole
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
  const frame = (shift * subsampling) / 1000
  if (!(frame >= 0.001 && frame <= 1)) throw new ModelError('unreadable', `a frame of ${frame} s`)
  return frame
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
