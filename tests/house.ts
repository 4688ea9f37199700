import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'

const root = fileURLToPath(new URL('../', import.meta.url))

/** The most lines of a file that gives no reason for more; a longer one says `// long: why` in its head. */
const mostLines = 300
/**
 * Through which files a room may be imported by others. Rooms that are not named here have no door yet: `grammar` is
 * data and its readers, `messages` is all door.
 */
const doors: Record<string, readonly string[]> = {
  'src/bar': ['index.ts'],
  'src/coffee': ['index.ts'],
  'src/hearing': ['index.ts'],
  'src/logbook': ['index.ts'],
  // what needs no browser
  'src/speaking': ['index.ts', 'language.ts', 'wording.ts'],
}
/** Files that are still to be split, with the lines they may have until then. */
const toBeSplit: Record<string, number> = {
  'src/app/companion.ts': 330,
  'src/app/controls/controls.ts': 430,
  'src/logbook/logbook.ts': 570,
  'src/speaking/announcer.ts': 430,
}
/** The line in which a long file gives its reason. */
const reason = /^(\/\/|<!--) long: \S/m

interface Source {
  path: string
  room: string
  lines: number
  isLongForAReason: boolean
  /** what it needs to run */
  imports: readonly string[]
  /** with imports of types alone */
  allImports: readonly string[]
  functions: readonly { name: string; lines: number }[]
}

/**
 * Measures the rooms and prints, for each, its files, lines, how many of its files others import (its doors), its
 * longest file and its longest function.
 *
 * @returns what must not be: circles of imports, and files that are too long without a reason
 */
export function measureHouse(): string[] {
  const sources = ['src', 'grammar', 'acoustic-model'].flatMap(readSources)
  const rooms = [...new Set(sources.map(({ room }) => room))].sort()
  const of = new Map(sources.map((source) => [source.path, source.room]))
  const cells = rooms.map((room) => {
    const own = sources.filter((source) => source.room === room)
    const others = sources.filter((source) => source.room !== room)
    const doors = new Set(
      others.flatMap(({ allImports }) => allImports.filter((path) => of.get(path) === room)),
    )
    const file = longest(own)
    const named = own.flatMap(({ functions }) => functions)
    const { name, lines } = longest(named.length > 0 ? named : [{ name: 'none', lines: 0 }])
    return [
      room,
      `${own.length}`,
      `${own.reduce((sum, source) => sum + source.lines, 0)}`,
      `${doors.size}`,
      `${relative(room, file.path)} ${file.lines}`,
      `${name} ${lines}`,
    ]
  })
  print([['room', 'files', 'lines', 'doors', 'longest file', 'longest function'], ...cells])
  return [
    ...circles(sources),
    ...pastDoors(sources),
    ...sources
      .filter(
        ({ path, lines, isLongForAReason }) => lines > (toBeSplit[path] ?? mostLines) && !isLongForAReason,
      )
      .map(
        ({ path, lines }) =>
          `${path} has ${lines} lines, more than ${toBeSplit[path] ?? mostLines}, and gives no reason`,
      ),
  ]
}

const longest = <T extends { lines: number }>(all: readonly T[]): T =>
  all.reduce((most, one) => (one.lines > most.lines ? one : most))

function readSources(folder: string): Source[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.(ts|svelte)$/.test(name))
    .map((name) => {
      const path = join(folder, name)
      const text = readFileSync(join(root, path), 'utf8')
      const script = name.endsWith('.svelte')
        ? [...text.matchAll(/<script[^>]*>([\s\S]*?)<\/script>/g)].map(([, code]) => code).join('\n')
        : text
      const parsed = ts.createSourceFile(path, script, ts.ScriptTarget.Latest, true)
      return {
        path,
        room: folder === 'src' && name.includes('/') ? join(folder, name.split('/')[0] ?? '') : folder,
        lines: text.trimEnd().split('\n').length,
        isLongForAReason: reason.test(text.slice(0, 2000)),
        imports: importsOf(parsed, path, false),
        allImports: importsOf(parsed, path, true),
        functions: functionsOf(parsed),
      }
    })
}

function importsOf(parsed: ts.SourceFile, path: string, withTypes: boolean): string[] {
  return parsed.statements.flatMap((statement) => {
    if (!ts.isImportDeclaration(statement) && !ts.isExportDeclaration(statement)) return []
    const isType = ts.isImportDeclaration(statement)
      ? statement.importClause?.phaseModifier === ts.SyntaxKind.TypeKeyword
      : statement.isTypeOnly
    const from = statement.moduleSpecifier
    if ((isType && !withTypes) || !from || !ts.isStringLiteral(from) || !from.text.startsWith('.')) return []
    return [relative(root, resolve(root, dirname(path), from.text.replace(/\?.*$/, '')))]
  })
}

function functionsOf(parsed: ts.SourceFile): { name: string; lines: number }[] {
  const found: { name: string; lines: number }[] = []
  const look = (node: ts.Node) => {
    const name =
      ts.isFunctionDeclaration(node) || ts.isMethodDeclaration(node)
        ? node.name?.getText(parsed)
        : ts.isVariableDeclaration(node) && node.initializer && ts.isArrowFunction(node.initializer)
          ? node.name.getText(parsed)
          : undefined
    if (name !== undefined) {
      const line = (at: number) => parsed.getLineAndCharacterOfPosition(at).line
      found.push({ name, lines: line(node.getEnd()) - line(node.getStart(parsed)) + 1 })
    }
    ts.forEachChild(node, look)
  }
  look(parsed)
  return found
}

/** Imports that go into another room by a window. */
function pastDoors(sources: readonly Source[]): string[] {
  return sources.flatMap(({ path, room, allImports }) =>
    allImports.flatMap((target) => {
      const other = Object.keys(doors).find((one) => target.startsWith(`${one}/`))
      if (other === undefined || other === room) return []
      return doors[other]?.includes(relative(other, target)) ? [] : [`${path} goes past the door: ${target}`]
    }),
  )
}

/** Imports that lead back to where they began, each circle once. */
function circles(sources: readonly Source[]): string[] {
  const imports = new Map(sources.map((source) => [source.path, source.imports]))
  const done = new Set<string>()
  const found: string[] = []
  const walk = (path: string, way: readonly string[]) => {
    if (way.includes(path)) found.push(`circle: ${[...way.slice(way.indexOf(path)), path].join(' -> ')}`)
    if (done.has(path) || way.includes(path)) return
    for (const next of imports.get(path) ?? []) walk(next, [...way, path])
    done.add(path)
  }
  for (const { path } of sources) walk(path, [])
  return found
}

function print(rows: readonly (readonly string[])[]): void {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)))
  for (const row of rows)
    console.log(
      row
        .map((cell, column) => cell.padEnd(widths[column] ?? 0))
        .join('  ')
        .trimEnd(),
    )
}
