export { openLogbook } from './openLogbook.ts'
export { openMemoryLogbook } from './openMemoryLogbook.ts'
export type { LoadedSnapshot, Logbook, LogbookOptions } from './logbook.ts'
export { LogbookError, type Trouble, type TroubleKind } from './trouble.ts'
export type { LogRecord } from './record.ts'
export type { Stretch } from './query.ts'
export type { Erasure } from './erase.ts'
export { effective } from './effective.ts'
export { names, recipeCards, type Field, type RecipeCard } from './houseRecipe.ts'
export { shiftReport, type NextShift, type Said, type ShiftReport } from './report.ts'
export { longSeries, shiftSeries, type LongSeries, type ShiftSeries } from './series.ts'
export { shotRows, type ShotRow } from './shotRows.ts'
export { dayFigures, type DayFigures, type DaySummary } from './daySummary.ts'
export {
  daysBefore,
  historyCsv,
  historyOf,
  namesIn,
  weekReport,
  type History,
  type HistoryDay,
  type HistoryFilter,
} from './history.ts'
export type { Days } from './dailySummaries.ts'
export { exportLog, type FileFormat } from './exportLog.ts'
export type { RefusalReason } from './refusal.ts'
export { Cancelled } from './slices.ts'
export { importLog, ImportRefused, type ImportOutcome, type RefusedRow } from './importLog.ts'
export {
  chainFigures,
  setUpServer,
  startReplication,
  type Replication,
  type ReplicationOptions,
  type ReplicationState,
} from './replication.ts'
export {
  loadAlike,
  loadServer,
  readServer,
  saveAlike,
  saveServer,
  ServerRefused,
  type Server,
} from './server.ts'
export { setAside, stateSetAside } from './setAside.ts'
export type { ChainFigures } from './designDocument.ts'
