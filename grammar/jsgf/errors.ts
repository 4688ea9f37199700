/** A place in a grammar file. Lines and columns count from 1. */
export interface Position {
  file: string
  line: number
  column: number
}

/** What is wrong in a grammar file, and where. */
export class JsgfError extends Error {
  override name = 'JsgfError'

  constructor(
    readonly problem: string,
    readonly at: Position,
  ) {
    super(`${at.file}:${at.line}:${at.column}: ${problem}`)
  }
}
