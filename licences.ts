import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

/** A package that is part of what is shipped, and the text of its licence. */
export interface ShippedPackage {
  name: string
  version: string
  /** SPDX expression */
  licence: string
  text: string
}

interface Manifest {
  name: string
  version: string
  license?: string
  dependencies?: Record<string, string>
}

const readManifest = (folder: string) =>
  JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as Manifest

/** What the build puts into the app beside `dependencies`: the framework's run time, without its compiler's parts. */
const runTime = ['svelte', 'esm-env', 'clsx']
/** And the service worker's, with all that it needs. */
const serviceWorker = ['workbox-precaching']

/**
 * Every package that the built app may contain: the project's own dependencies and all of theirs.
 *
 * @param root the project's folder
 * @throws Error for a package whose licence has no text: it may not be shipped so
 */
export function shippedPackages(root: string): ShippedPackage[] {
  const folders = new Map<string, string>()
  const collect = (name: string, from: string, isWhole = true) => {
    const folder = folderOf(name, from)
    // optional parts that are not installed are not shipped either
    if (!folder || folders.has(folder)) return
    folders.set(folder, name)
    if (!isWhole) return
    for (const each of Object.keys(readManifest(folder).dependencies ?? {})) collect(each, folder)
  }
  const own = readManifest(root)
  for (const name of runTime) collect(name, root, false)
  for (const name of [...Object.keys(own.dependencies ?? {}), ...serviceWorker]) collect(name, root)

  const apache = [...folders.keys()].map(textIn).find((text) => text && isWholeApache(text))
  return [...folders.keys()]
    .map((folder) => {
      const { name, version, license = '' } = readManifest(folder)
      const text = textIn(folder) ?? textInReadme(folder) ?? (license === 'Apache-2.0' ? apache : undefined)
      if (!text) throw new Error(`${name}: no text of its licence (${license}) is in the package`)
      return { name, version, licence: license, text: text.trim() }
    })
    .sort((a, b) => (a.name < b.name ? -1 : 1))
}

/** The notices of all packages as one text. Packages with the same text share it. */
export function licencesText(packages: readonly ShippedPackage[]): string {
  const byText = new Map<string, ShippedPackage[]>()
  for (const each of packages) byText.set(each.text, [...(byText.get(each.text) ?? []), each])
  return [...byText]
    .map(([text, those]) => {
      const names = those.map(({ name, version, licence }) => `${name} ${version} (${licence})`)
      return `== ${names.join(', ')} ==\n\n${text}\n`
    })
    .join('\n')
}

/** Where a package that another one needs is: beside it, or further up. */
function folderOf(name: string, from: string): string | null {
  for (let at = from; ; at = dirname(at)) {
    const folder = join(at, 'node_modules', name)
    if (existsSync(join(folder, 'package.json'))) return folder
    if (dirname(at) === at) return null
  }
}

function textIn(folder: string): string | undefined {
  const files = readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice)(\.|$)/i.test(file))
  return files.length === 0
    ? undefined
    : files.map((file) => readFileSync(join(folder, file), 'utf8')).join('\n')
}

/** Some packages have the text of their licence in the README only. */
function textInReadme(folder: string): string | undefined {
  const file = readdirSync(folder).find((each) => /^readme(\.|$)/i.test(each))
  const readme = file === undefined ? '' : readFileSync(join(folder, file), 'utf8')
  const start = readme.search(/^#+\s*licen[cs]e/im)
  const text = start < 0 ? '' : readme.slice(start)
  return /permission is hereby granted/i.test(text) ? text : undefined
}

const isWholeApache = (text: string) =>
  /Apache License\s+Version 2\.0/.test(text) && text.includes('END OF TERMS AND CONDITIONS')
