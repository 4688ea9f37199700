import type { BarAction } from './effect.ts'
import type { CommandEvent } from './events.ts'
import { earcon, say, warn } from './say.ts'
import { handOffTag } from './handOff/handOffCues.ts'

/** What the bar says of itself, and what it passes on. */
export const talkActions = {
  greet: (_context, event) =>
    event.type === 'begin' ? { cues: [say(event.first ? 'greeting.first' : 'greeting.again')] } : {},

  /** After a reload: where the work is. */
  greetBack: (context, _event, { place: loopPlace }) => {
    const place = context.drillInput ? 'drill' : loopPlace
    return {
      cues: [place === 'closed' ? say('greeting.again') : say('greeting.back', { place: `word.${place}` })],
    }
  },

  warnOfTrouble: (_context, event) =>
    event.type === 'trouble' || event.type === 'hearing lost'
      ? { cues: [earcon('trouble'), warn(event.sentence)] }
      : {},

  pauseListening: () => ({ cues: [say('talk.paused')] }),
  resumeListening: () => ({ cues: [earcon('heard'), say('talk.resumed')] }),
  hearAgain: () => ({ cues: [say('talk.resumed')] }),
  hush: () => ({ cues: [{ kind: 'hush' }] }),

  sayAgain: (_context, event) =>
    event.type === 'repeat'
      ? { cues: [{ kind: 'again', slower: event.slots.slower, spelled: false }] }
      : event.type === 'spell'
        ? { cues: [{ kind: 'again', slower: true, spelled: true }] }
        : {},

  help: (context, event) =>
    context.pending
      ? { cues: [say(context.pending.type === 'settings' ? 'help.settings' : 'help.confirm')] }
      : { toWork: [event as CommandEvent] },

  /** A command that the bar does not answer itself. */
  passToWork: (context, event) => ({
    toWork: [event as CommandEvent],
    ...(context.lastHandOff && { change: { lastHandOff: null } }),
  }),

  passToLoop: (_context, event) =>
    event.type === 'moved in drill' || event.type === 'house card' || event.type === 'house settled'
      ? { toLoop: [event] }
      : {},

  /** What a child machine wants heard and logged. */
  passOn: (_context, event) =>
    event.type === 'out'
      ? {
          cues: event.cues ?? [],
          emit: (event.entries ?? []).map((entry) => ({ type: 'entry', entry }) as const),
        }
      : {},

  /** The time, for every machine that waits for something. */
  spreadTime: (context, event) =>
    event.type === 'tick' || event.type === 'resumed'
      ? {
          toLoop: [event],
          toDrill: [event],
          toClocks: context.waiting.map((clock) => ({ tag: handOffTag(clock), event })),
        }
      : {},

  askForReport: (_context, event) =>
    event.type === 'report wanted' ? { emit: [{ type: 'report', of: event.of }] } : {},
  askServer: (_context, event) =>
    event.type === 'server' ? { emit: [{ type: 'server', request: event.slots.request }] } : {},
  askForModel: () => ({ emit: [{ type: 'model back' }] }),

  namePerson: (_context, event) => {
    if (event.type !== 'person named') return {}
    const { number, name, at } = event
    return {
      entries: [{ kind: 'named', what: 'person', number, name, at }],
      cues: [earcon('logged')],
    }
  },
} satisfies Record<string, BarAction>
