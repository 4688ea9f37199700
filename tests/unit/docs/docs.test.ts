import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { dirname, join, relative } from 'node:path'
import { describe, expect, it } from 'vitest'
import { headersFor } from '../../../headers.ts'

const root = join(import.meta.dirname, '../../..')
const read = (path: string) => readFileSync(join(root, path), 'utf8')
const scripts = Object.keys((JSON.parse(read('package.json')) as { scripts: Record<string, string> }).scripts)

/** What belongs to the repository, as paths from its root. */
const ours = readdirSync(root)
  .filter((name) => !['node_modules', 'dist', '.git'].includes(name))
  .flatMap((name) =>
    statSync(join(root, name)).isDirectory()
      ? [
          name,
          ...readdirSync(join(root, name), { recursive: true, encoding: 'utf8' }).map((at) => join(name, at)),
        ]
      : [name],
  )
const pages = ours.filter((path) => path.endsWith('.md'))

/** Made by a build, so not there in a fresh clone. */
const isBuilt = (path: string) => /^(dist|node_modules|public\/voices)\b|^_headers$/.test(path)

describe.each(pages)('%s', (page) => {
  const text = read(page)
  const prose = text.replace(/^( {4}|```).*$/gm, '')

  it('links to what exists', () => {
    const links = [...text.matchAll(/\]\((?!https?:|#)([^)#\s]+)/g), ...text.matchAll(/src="([^"]+)"/g)]
    const dead = links
      .map(([, link]) => link ?? '')
      .filter((link) => !existsSync(join(root, dirname(page), link)))
    expect(dead).toEqual([])
  })

  // the others name files of a model and of a database
  const isAboutFiles = [
    'README.md',
    'DEVELOPERS.md',
    'grammar/README.md',
    'docs/tablet.md',
    'docs/decisions.md',
  ]
  it.runIf(isAboutFiles.includes(page))('names files and folders that exist', () => {
    const named = [...prose.matchAll(/`([\w./<>-]+)`/g)]
      .map(([, name]) => (name ?? '').replace(/\/$/, ''))
      .filter((name) => /^[\w.-]+\/[\w./-]+$|\.(ts|mjs|json|jsgf|dict|svelte|css|py|svg|md)$/.test(name))
      .filter((name) => !isBuilt(name) && !/[<>]|^\./.test(name))
    const lost = named.filter((name) => {
      const here = relative(root, join(root, dirname(page), name))
      return !ours.some((path) => path === name || path === here || path.endsWith(`/${name}`))
    })
    expect(lost).toEqual([])
  })

  it('names commands that exist', () => {
    const lost = [...text.matchAll(/npm run ([\w:-]+)/g)]
      .map(([, name]) => name ?? '')
      .filter((name) => !scripts.includes(name))
    expect(lost).toEqual([])
    const benches = [...text.matchAll(/npm run bench -- ([a-z]\w*)/g)].map(([, name]) => name ?? '')
    expect(benches.filter((name) => !ours.includes(`tests/bench/${name}.ts`))).toEqual([])
  })
})

describe('the recipes of DEVELOPERS.md', () => {
  const page = read('DEVELOPERS.md')
  /** a name in a file, as the recipes give it: `Slots` of `src/messages/command.ts` */
  const named = [...page.matchAll(/`(\w+)`\s+(?:of|in)\s+`([\w./]+\.\w+)`/g)]

  it('name things that are in the files they name', () => {
    expect(named.length).toBeGreaterThan(1)
    const lost = named.filter(([, name, path]) => {
      const file = ours.find((at) => at === path || at.endsWith(`/${path}`))
      return file === undefined || !new RegExp(`\\b${name}\\b`).test(read(file))
    })
    expect(lost.map(([text]) => text)).toEqual([])
  })

  it('name every benchmark', () => {
    const benches = ours
      .filter((path) => /^tests\/bench\/\w+\.ts$/.test(path))
      .map((path) => path.replace(/^.*\/|\.ts$/g, ''))
      .filter((name) => name !== 'run')
    expect(benches.filter((name) => !page.includes(`\`${name}\``))).toEqual([])
  })
})

describe('the glossary of DEVELOPERS.md', () => {
  const section = /## Glossary\n([\s\S]*?)\n## /.exec(read('DEVELOPERS.md'))?.[1] ?? ''
  const terms = [...section.matchAll(/^\| `([^`]+)`/gm)].map(([, term]) => term ?? '')
  const source = ours
    .filter((path) => /^(src|grammar)\/.*\.(ts|svelte)$/.test(path))
    .map(read)
    .join('\n')

  it('has only terms that the code uses', () => {
    expect(terms.length).toBeGreaterThan(15)
    expect(terms.filter((term) => !new RegExp(`\\b${term}`).test(source))).toEqual([])
  })
})

describe('docs/Caddyfile', () => {
  it('sets the headers of headers.ts', () => {
    const caddyfile = read('docs/Caddyfile')
    const served = ['/', '/assets/index-1.js', '/assets/hearing.worker-1.js', '/model/en.tar.gz']
    for (const path of served)
      for (const [name, value] of Object.entries(headersFor(path)))
        expect(caddyfile).toContain(`${name} "${value}"`)
  })
})
