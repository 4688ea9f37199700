import type { Drill } from '../src/messages/drill.ts'
import { readDrill } from './drill.ts'

const files = import.meta.glob<unknown>('./*/drills/*.json', { import: 'default' })

/** The drills of a language, by number. A drill is added by adding its file. */
export async function bundledDrills(code: string): Promise<Drill[]> {
  const folder = `./${code}/drills/`
  const paths = Object.keys(files).filter((path) => path.startsWith(folder))
  const drills = await Promise.all(
    paths.map(
      async (path) => readDrill(path.slice(folder.length, -'.json'.length), await files[path]?.()).drill,
    ),
  )
  return drills.sort((a, b) => a.number - b.number)
}
