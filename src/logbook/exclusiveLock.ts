import { LogbookError } from './trouble.ts'

/**
 * Claims a log for this window (Web Locks); the browser gives the claim back when the window closes or dies.
 * Answers with a function that gives it back sooner. A browser without Web Locks lets everyone in.
 *
 * @throws LogbookError `in use` when another window has it and `wait` is false; `no storage` when locks are forbidden
 */
export async function lockLog(name: string, wait: boolean): Promise<() => void> {
  if (!navigator.locks) return () => undefined
  return new Promise((resolve, reject) => {
    navigator.locks
      .request(`earshot log ${name}`, { ifAvailable: !wait }, (lock) => {
        if (!lock) throw new LogbookError('in use')
        return new Promise<void>((release) => resolve(release))
      })
      .catch((error: unknown) => {
        reject(error instanceof LogbookError ? error : new LogbookError('no storage', { cause: error }))
      })
  })
}
