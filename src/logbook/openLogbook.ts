import { lockLog } from './exclusiveLock.ts'
import { startLogbook, type Logbook, type LogbookOptions } from './logbook.ts'
import { openPouchStore } from './pouchStore.ts'
import { trouble, type Trouble } from './trouble.ts'

/**
 * Opens the log of this browser and keeps other windows from writing it until it is closed.
 *
 * @throws LogbookError `in use` when another window has it open; `no storage` when the browser keeps nothing:
 *   `openMemoryLogbook` lets the bar go on
 */
export async function openLogbook(options: LogbookOptions = {}): Promise<Logbook> {
  const name = options.name ?? 'earshot'
  const release = await lockLog(name, options.wait ?? false)
  try {
    const troubles: Trouble[] = []
    const persistent = await navigator.storage?.persist?.().catch(() => false)
    if (!persistent) troubles.push(trouble('not persistent'))
    const store = await openPouchStore(name)
    return await startLogbook(store, store.database, options, { troubles, mark: name, release })
  } catch (error) {
    release()
    throw error
  }
}
