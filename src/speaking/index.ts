export {
  createAnnouncer,
  voiceCount,
  type Announcer,
  type AnnouncerOptions,
  type Said,
  type Sounded,
  type SpeakingSettings,
} from './announcer.ts'
export { failureSentences, SpeakingError, type SpeakingFailure } from './failure.ts'
export { audioContext } from './loudspeaker.ts'
