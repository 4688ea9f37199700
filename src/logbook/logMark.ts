/** What is remembered of a log outside its database, so that a log that was thrown out is missed. */
export interface LogMark {
  device: string
  /** the last sequence number known to be safe */
  sequence: number
}

const key = (name: string) => `${name} log mark`

/** The mark of a log; `null` when there is none or the browser keeps none. */
export function readMark(name: string): LogMark | null {
  try {
    const mark: unknown = JSON.parse(localStorage.getItem(key(name)) ?? 'null')
    if (typeof mark !== 'object' || mark === null) return null
    const { device, sequence } = mark as Partial<LogMark>
    return typeof device === 'string' && typeof sequence === 'number' ? { device, sequence } : null
  } catch {
    return null
  }
}

/** Renews the mark. A browser that keeps none is no reason to stop: the mark only helps to tell a loss. */
export function markLog(name: string, mark: LogMark): void {
  try {
    localStorage.setItem(key(name), JSON.stringify(mark))
  } catch {
    // without a mark a loss goes unnoticed, and nothing else changes
  }
}
