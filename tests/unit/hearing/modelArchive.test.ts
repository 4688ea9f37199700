import { gunzipSync, gzipSync, zipSync } from 'fflate'
import { createTar } from 'nanotar'
import { describe, expect, it } from 'vitest'
import { ModelError, unpackModel } from '../../../src/hearing/modelArchive.ts'
import { embeddedModel } from './engineInNode.ts'

const whole = {
  'model/am/final.mdl': 'network',
  'model/conf/model.conf': '--beam=10\n--frame-subsampling-factor=3\n',
  'model/conf/mfcc.conf': '--sample-frequency=16000\n',
  'model/graph/HCLr.fst': 'graph',
  'model/graph/words.txt': '<eps> 0\n[unk] 3\n#0 4\nstop 1\ngo 2\n',
  'model/graph/disambig_tid.int': '',
}
type Files = Record<string, string>

const tarOf = (files: Files): Uint8Array<ArrayBuffer> =>
  new Uint8Array(createTar(Object.entries(files).map(([name, data]) => ({ name, data }))))
const tarGz = (files: Files): Uint8Array<ArrayBuffer> => new Uint8Array(gzipSync(tarOf(files)))
const zip = (files: Files): Uint8Array<ArrayBuffer> =>
  new Uint8Array(
    zipSync(
      Object.fromEntries(Object.entries(files).map(([name, text]) => [name, new TextEncoder().encode(text)])),
    ),
  )

describe.each([
  ['tar.gz', tarGz],
  ['zip', zip],
  ['tar, which a browser has unpacked already', tarOf],
])('a model in a %s', (_, packed) => {
  it('is unpacked, and its frame and vocabulary read', async () => {
    const model = await unpackModel(packed(whole))
    expect([...model.files.keys()].sort()).toEqual(
      Object.keys(whole)
        .map((path) => path.replace('model/', ''))
        .sort(),
    )
    expect(model.frame).toBe(0.03)
    expect([...model.vocabulary]).toEqual(['stop', 'go'])
  })

  it.each(['am/final.mdl', 'conf/model.conf', 'conf/mfcc.conf', 'graph/HCLr.fst', 'graph/words.txt'])(
    'is refused without %s, by name',
    async (path) => {
      const rest = Object.fromEntries(Object.entries(whole).filter(([name]) => name !== `model/${path}`))
      await expect(unpackModel(packed(rest))).rejects.toThrow(path)
    },
  )
})

it.each(['--frame-shift=1.2.3', '--frame-shift=0', '--frame-shift=99999', '--frame-shift=.'])(
  'is refused with a configuration that makes no sense: %s',
  async (line) => {
    const odd = { ...whole, 'model/conf/mfcc.conf': `${line}\n` }
    await expect(unpackModel(tarGz(odd))).rejects.toMatchObject({ problem: 'unreadable' })
  },
)

describe('an archive that unpacks to more than a model may have', () => {
  const zeros = { ...whole, 'model/am/final.mdl': '\0'.repeat(4_000_000) }
  const most = 1_000_000

  it.each([
    ['tar.gz', tarGz],
    ['zip', zip],
  ])('is refused as a %s, before all of it is unpacked', async (_name, packed) => {
    const archive = packed(zeros)
    expect(archive.length).toBeLessThan(20_000)
    await expect(unpackModel(archive, most)).rejects.toMatchObject({ problem: 'too large' })
    expect((await unpackModel(archive)).files.size).toBe(6)
  })

  it('is not believed about its sizes', async () => {
    const archive = zip(zeros)
    // uncompressed sizes in the local headers and in the directory (APPNOTE.TXT 4.3.7 and 4.3.12) say one byte
    const view = new DataView(archive.buffer)
    for (let at = 0; at < archive.length - 46; at += 1) {
      if (view.getUint32(at, true) === 0x04034b50) view.setUint32(at + 22, 1, true)
      if (view.getUint32(at, true) === 0x02014b50) view.setUint32(at + 24, 1, true)
    }
    await expect(unpackModel(archive, most)).rejects.toMatchObject({ problem: 'too large' })
  })
})

it('has the frame that its configuration says', async () => {
  const slow = {
    ...whole,
    'model/conf/mfcc.conf': '--frame-shift=12.5\n',
    'model/conf/model.conf': '--beam=9\n',
  }
  expect((await unpackModel(tarGz(slow))).frame).toBe(0.0125)
})

it('is refused when it is cut short, wherever', async () => {
  for (const share of [0.001, 0.3, 0.99]) {
    const part = embeddedModel.slice(0, Math.floor(share * embeddedModel.length))
    await expect(unpackModel(part)).rejects.toBeInstanceOf(ModelError)
  }
  const unpacked = gunzipSync(embeddedModel)
  await expect(unpackModel(new Uint8Array(unpacked.subarray(0, unpacked.length / 2)))).rejects.toBeInstanceOf(
    ModelError,
  )
  const zipped = zip(whole)
  await expect(unpackModel(zipped.slice(0, zipped.length / 2))).rejects.toBeInstanceOf(ModelError)
})

it('is refused when it is something else', async () => {
  await expect(unpackModel(new TextEncoder().encode('<!doctype html>'))).rejects.toThrow(
    'not a tar.gz or zip',
  )
  await expect(unpackModel(new Uint8Array())).rejects.toThrow('not a tar.gz or zip')
})
