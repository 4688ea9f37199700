import { preview } from 'vite'
import { buildAppIfNeeded, buildPagesIfNeeded, builtPages, root } from './buildOnce.ts'

/** Something built, on a free port of this machine. */
export interface Served {
  url: string
  close(): Promise<void>
}

/** Builds the app if needed and serves it the way `npm start` does, or a copy of it from another folder. */
export async function serveBuilt(outDir = `${root}dist`): Promise<Served> {
  buildAppIfNeeded()
  const server = await preview({
    root,
    logLevel: 'warn',
    build: { outDir },
    preview: { host: 'localhost', port: 0 },
  })
  return { url: addressOf(server), close: () => server.close() }
}

/** Builds the test pages if needed and serves one of `tests/pages/`. */
export async function servePage(name: 'hearing' | 'speaking' | 'logbook'): Promise<Served> {
  await buildPagesIfNeeded()
  const server = await preview({
    root: `${root}tests/pages`,
    configFile: false,
    logLevel: 'warn',
    appType: 'mpa', // what is not there is not found
    build: { outDir: builtPages },
    preview: { host: 'localhost', port: 0 },
  })
  return { url: `${addressOf(server)}${name}.html`, close: () => server.close() }
}

function addressOf({ resolvedUrls }: { resolvedUrls: { local: string[] } | null }): string {
  const url = resolvedUrls?.local[0]
  if (url === undefined) throw new Error('the preview server has no address')
  return url
}
