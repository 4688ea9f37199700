import { execFileSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'

/** An arc as OpenFst's text format has it. */
export interface TextArc {
  from: number
  to: number
  input: number
  output: number
  cost: number
}

export interface LookAheadFst {
  /** the bytes of `HCLr.fst` */
  bytes: Uint8Array
  /** from the labels that went in to those that came out */
  relabelled: ReadonlyMap<number, number>
}

/** Runs the tools of Debian's `libfst-tools` with the look-ahead types of `libfst22-plugins-base`. */
export class OpenFst {
  private readonly environment: NodeJS.ProcessEnv

  /** @param plugins folder with `olabel_lookahead-fst.so`; found through `dpkg` when not given */
  constructor(plugins = findPlugins()) {
    this.environment = { ...process.env, LD_LIBRARY_PATH: plugins }
  }

  /** Compiles a graph into the type that the engine composes with its grammars as it listens. */
  lookAhead(arcs: readonly TextArc[], finals: Iterable<number>): LookAheadFst {
    return inTemporaryFolder((folder) => {
      const path = (name: string): string => join(folder, name)
      writeFileSync(path('graph.txt'), fstText(arcs, finals))
      this.run('fstcompile', path('graph.txt'), path('compiled.fst'))
      this.run('fstconnect', path('compiled.fst'), path('connected.fst'))
      this.run('fstarcsort', '--sort_type=olabel', path('connected.fst'), path('sorted.fst'))
      this.run(
        'fstconvert',
        '--fst_type=olabel_lookahead',
        `--save_relabel_opairs=${path('relabel')}`,
        path('sorted.fst'),
        path('HCLr.fst'),
      )
      const pairs = readFileSync(path('relabel'), 'utf8')
        .split('\n')
        .filter((line) => line.trim() !== '')
        .map((line) => line.trim().split(/\s+/).map(Number))
      return {
        bytes: new Uint8Array(readFileSync(path('HCLr.fst'))),
        relabelled: new Map(pairs.map(([from = 0, to = 0]) => [from, to])),
      }
    })
  }

  /** Compiles an acceptor for use as a grammar. */
  grammar(arcs: readonly TextArc[], finals: Iterable<number>): Uint8Array {
    return inTemporaryFolder((folder) => {
      const path = (name: string): string => join(folder, name)
      writeFileSync(path('grammar.txt'), fstText(arcs, finals))
      this.run('fstcompile', path('grammar.txt'), path('compiled.fst'))
      this.run('fstarcsort', '--sort_type=ilabel', path('compiled.fst'), path('sorted.fst'))
      this.run('fstconvert', '--fst_type=const', path('sorted.fst'), path('Gr.fst'))
      return new Uint8Array(readFileSync(path('Gr.fst')))
    })
  }

  private run(tool: string, ...options: string[]): void {
    execFileSync(tool, options, { env: this.environment, stdio: ['ignore', 'ignore', 'inherit'] })
  }
}

function fstText(arcs: readonly TextArc[], finals: Iterable<number>): string {
  const lines = arcs.map(
    ({ from, to, input, output, cost }) => `${from} ${to} ${input} ${output} ${cost.toFixed(5)}`,
  )
  return [...lines, ...[...finals].map(String), ''].join('\n')
}

function findPlugins(): string {
  const files = execFileSync('dpkg', ['-L', 'libfst22-plugins-base'], { encoding: 'utf8' }).split('\n')
  const plugin = files.find((file) => file.endsWith('/olabel_lookahead-fst.so'))
  if (plugin === undefined || !existsSync(plugin))
    throw new Error('olabel_lookahead-fst.so not found: install libfst-tools and libfst22-plugins-base')
  return dirname(plugin)
}

function inTemporaryFolder<Result>(work: (folder: string) => Result): Result {
  const folder = mkdtempSync(join(tmpdir(), 'fst-'))
  try {
    return work(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}
