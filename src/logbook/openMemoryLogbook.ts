import { startLogbook, type Logbook, type LogbookOptions } from './logbook.ts'
import { memoryStore } from './memoryStore.ts'
import { trouble } from './trouble.ts'

/** A log that keeps nothing beyond this window, with the same duties otherwise. */
export async function openMemoryLogbook(options: LogbookOptions = {}): Promise<Logbook> {
  return startLogbook(memoryStore(), null, options, { troubles: [trouble('no storage')] })
}
