/** Sound in, utterances out. */
export { createEar, type Ear, type EarFailure, type EarState } from './ear.ts'
export { ModelError } from './modelArchive.ts'
export { tryModel } from './tryModel.ts'
export { createPumpEar } from './pump/index.ts'
