import { execFileSync } from 'node:child_process'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { preview } from 'vite'

const root = fileURLToPath(new URL('../../', import.meta.url))
const sources = [
  'src',
  'grammar',
  'public',
  'acoustic-model',
  'index.html',
  'vite.config.ts',
  'headers.ts',
  'package-lock.json',
]

/** Builds the app unless what is in `dist/` is newer than everything it is made of. */
export function buildIfNeeded(): void {
  const built = `${root}dist/index.html`
  const newest = Math.max(...sources.map((source) => newestIn(`${root}${source}`)))
  if (existsSync(built) && statSync(built).mtimeMs >= newest) return
  // the test runner's own NODE_ENV would make it a build for developing
  const env = { ...process.env, NODE_ENV: 'production' }
  execFileSync('npm', ['run', 'build'], { cwd: root, env, stdio: ['ignore', 'ignore', 'inherit'] })
}

function newestIn(path: string): number {
  if (!existsSync(path)) return 0
  const { mtimeMs } = statSync(path)
  if (!statSync(path).isDirectory()) return mtimeMs
  return Math.max(0, ...readdirSync(path).map((name) => newestIn(`${path}/${name}`)))
}

/** The built app, served the way `npm start` does. */
export interface Served {
  url: string
  close(): Promise<void>
}

/** Builds the app if needed and serves it on a free port of this machine. */
export async function serveBuilt(): Promise<Served> {
  buildIfNeeded()
  const server = await preview({ root, logLevel: 'warn', preview: { host: 'localhost', port: 0 } })
  const url = server.resolvedUrls?.local[0]
  if (!url) throw new Error('the preview server has no address')
  return { url, close: () => server.close() }
}
