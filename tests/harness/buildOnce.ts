import { execFileSync } from 'node:child_process'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'
import { kernelPlugin } from '../../src/hearing/decoder/kernel/compileKernel.ts'
import { findChromium } from './findChromium.ts'

/** The repository. */
export const root = fileURLToPath(new URL('../../', import.meta.url))

/** Where the test pages are built. */
export const builtPages = `${root}node_modules/.cache/earshot/pages`

const app = ['src', 'grammar', 'public', 'index.html', 'vite.config.ts', 'headers.ts', 'package-lock.json']
const pages = ['src', 'grammar', 'public', 'package-lock.json', 'tests/pages', 'tests/harness']

/** The global setup of the test projects that need a browser. */
export default async function setup(): Promise<void> {
  if (findChromium()) await buildOnce()
}

/** Builds the app and the test pages, each only if something it is made of is newer. */
export async function buildOnce(): Promise<void> {
  buildAppIfNeeded()
  await buildPagesIfNeeded()
}

/** Builds the app unless what is in `dist/` is newer than everything it is made of. */
export function buildAppIfNeeded(): void {
  if (isNewer(`${root}dist/index.html`, app)) return
  // the test runner's own NODE_ENV would make it a build for developing
  const env = { ...process.env, NODE_ENV: 'production' }
  execFileSync('npm', ['run', 'build'], { cwd: root, env, stdio: ['ignore', 'ignore', 'inherit'] })
}

/** Builds the test pages, the way the app is built, together with the model and the voices. */
export async function buildPagesIfNeeded(): Promise<void> {
  if (isNewer(`${builtPages}/hearing.html`, pages)) return
  const folder = `${root}tests/pages`
  const names = readdirSync(folder).filter((name) => name.endsWith('.html'))
  await build({
    root: folder,
    configFile: false,
    logLevel: 'error',
    base: './',
    publicDir: `${root}public`,
    build: {
      outDir: builtPages,
      emptyOutDir: true,
      target: 'es2022',
      rolldownOptions: { input: names.map((name) => `${folder}/${name}`) },
    },
    worker: { format: 'es', plugins: () => [kernelPlugin()] },
  })
}

function isNewer(built: string, sources: readonly string[]): boolean {
  if (!existsSync(built)) return false
  return statSync(built).mtimeMs >= Math.max(...sources.map((source) => newestIn(`${root}${source}`)))
}

function newestIn(path: string): number {
  if (!existsSync(path)) return 0
  const { mtimeMs } = statSync(path)
  if (!statSync(path).isDirectory()) return mtimeMs
  return Math.max(0, ...readdirSync(path).map((name) => newestIn(`${path}/${name}`)))
}
