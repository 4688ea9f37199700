/**
 * Records what the tool says: `npm run voices`. Writes `public/voices/<language>/<voice>.opus` and `.json`, and
 * does nothing for a voice whose files are up to date. Voices are recorded side by side, each in a process.
 */
import { fork } from 'node:child_process'
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import voicesOf from '../../../grammar/voices.json' with { type: 'json' }
import { readVoiceIndex, voices, type VoiceName } from '../voiceIndex.ts'
import { openFlite } from './flite.ts'
import { readLanguage, readRespellings } from './readLanguage.ts'
import { isUpToDate, renderVoice, type RenderedVoice } from './renderVoice.ts'

const publicFolder = join(import.meta.dirname, '../../../public/voices')

async function readRendered(language: string, voice: VoiceName): Promise<RenderedVoice | undefined> {
  const path = join(publicFolder, language, voice)
  try {
    const index = readVoiceIndex(JSON.parse(await readFile(`${path}.json`, 'utf8')))
    const sound = new Uint8Array(await readFile(`${path}.opus`))
    return sound.length === index.bytes ? { index, sound } : undefined
  } catch {
    return undefined // missing, or half written, or of an earlier format: made anew
  }
}

/** Writes a file whole or not at all. */
async function replaceFile(path: string, content: string | Uint8Array) {
  const draft = `${path}.${process.pid}`
  await writeFile(draft, content)
  await rename(draft, path)
}

async function record(name: string, voice: VoiceName) {
  const began = performance.now()
  const [language, respellings] = [readLanguage(name), readRespellings(name)]
  const before = await readRendered(name, voice)
  const { index, sound } = await renderVoice(await openFlite(), language, voice, respellings, before)
  await mkdir(join(publicFolder, name), { recursive: true })
  await replaceFile(join(publicFolder, name, `${voice}.opus`), sound)
  await replaceFile(join(publicFolder, name, `${voice}.json`), JSON.stringify(index))
  const spoken = Object.values(index.clips).reduce((sum, clip) => sum + clip.seconds, 0)
  console.log(
    `${name} ${voice}: ${Object.keys(index.clips).length} phrases, ${spoken.toFixed(0)} s,`,
    `${(sound.length / 1e6).toFixed(2)} MB, in ${((performance.now() - began) / 1000).toFixed(1)} s`,
  )
}

/** Runs this file again for one voice of one language. */
function recordBeside(language: string, voice: VoiceName): Promise<void> {
  return new Promise((done, failed) => {
    fork(import.meta.filename, [language, voice]).on('exit', (code) =>
      code === 0 ? done() : failed(new Error(`recording ${voice} in ${language} ended with ${code}`)),
    )
  })
}

function voiceNamed(name: string | undefined): VoiceName {
  const voice = voices.find((known) => known === name)
  if (!voice) throw new RangeError(`voice ${name}: one of ${voices.join(', ')}`)
  return voice
}

const [onlyLanguage, onlyVoice] = process.argv.slice(2)
if (onlyLanguage !== undefined) {
  await record(onlyLanguage, voiceNamed(onlyVoice))
} else {
  const work = Object.entries(voicesOf).flatMap(([language, names]) =>
    names.map((name) => ({ language, voice: voiceNamed(name) })),
  )
  await Promise.all(
    work.map(async ({ language, voice }) => {
      const before = await readRendered(language, voice)
      if (before && isUpToDate(before.index, readLanguage(language), readRespellings(language))) return
      await recordBeside(language, voice)
    }),
  )
}
