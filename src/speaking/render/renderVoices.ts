/**
 * Records what the tool says: `npm run voices`. Writes `public/voices/<language>/<voice>.opus` and `.json`, and
 * does nothing for a voice whose files are up to date.
 */
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { readVoiceIndex, voices, type VoiceName } from '../voiceIndex.ts'
import { openFlite } from './flite.ts'
import { grammarFolder, languageNames, readLanguage } from './readLanguage.ts'
import { isUpToDate, renderVoice, type RenderedVoice, type Respellings } from './renderVoice.ts'

const publicFolder = join(import.meta.dirname, '../../../public/voices')

async function readRendered(folder: string, voice: VoiceName): Promise<RenderedVoice | undefined> {
  try {
    const index = readVoiceIndex(JSON.parse(await readFile(join(folder, `${voice}.json`), 'utf8')))
    const sound = new Uint8Array(await readFile(join(folder, `${voice}.opus`)))
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

let flite: ReturnType<typeof openFlite> | undefined
for (const name of await languageNames()) {
  const language = await readLanguage(name)
  const respellings: Respellings = JSON.parse(
    await readFile(join(grammarFolder, name, 'respellings.json'), 'utf8'),
  )
  const folder = join(publicFolder, name)
  await mkdir(folder, { recursive: true })
  for (const voice of voices) {
    const before = await readRendered(folder, voice)
    if (before && isUpToDate(before.index, language, respellings)) continue
    const began = performance.now()
    const { index, sound } = await renderVoice(
      await (flite ??= openFlite()),
      language,
      voice,
      respellings,
      before,
    )
    await replaceFile(join(folder, `${voice}.opus`), sound)
    await replaceFile(join(folder, `${voice}.json`), JSON.stringify(index))
    const spoken = Object.values(index.clips).reduce((sum, clip) => sum + clip.seconds, 0)
    console.log(
      `${name} ${voice}: ${Object.keys(index.clips).length} phrases, ${spoken.toFixed(0)} s,`,
      `${(sound.length / 1e6).toFixed(2)} MB, in ${((performance.now() - began) / 1000).toFixed(1)} s`,
    )
  }
}
