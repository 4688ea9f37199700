export {
  openLogbook,
  openMemoryLogbook,
  type LoadedSnapshot,
  type Logbook,
  type LogbookOptions,
} from './logbook.ts'
export { LogbookError, type Trouble, type TroubleKind } from './trouble.ts'
export type { LogRecord } from './record.ts'
export type { Stretch } from './query.ts'
export type { Erasure } from './erase.ts'
