import type { BarContext } from '../barContext.ts'
import type { BarAction, Effect } from '../effect.ts'
import { toEvent, type CommandEvent } from '../events.ts'
import { isWithin, ranges } from '../loop/loopContext.ts'
import { obeyedAs } from '../../messages/utterance.ts'
import { earcon, refuse, say } from '../say.ts'
import { decide } from './decide.ts'
import { doubt, missedPour, missedStop } from './doubts.ts'
import { lastThatCouldBe, rememberSound } from './missedSounds.ts'
import { noRepair, type Repair, type RepairQuestion } from './repairContext.ts'
import { repairCue } from './repairCue.ts'
import { whyNot } from '../loop/whyNot.ts'

const repaired = (context: BarContext, change: Partial<Repair>): Effect => ({
  change: { repair: { ...context.repair, ...change } },
})

/** Seconds after the end of a pour in which the word that ended it is only said once more. */
const saidTwice = 5

/** The question once more, for an answer that does not answer it. */
const again = (question: RepairQuestion): Effect => {
  const { sentence, values } = repairCue(question)
  return { cues: [say(sentence, values)] }
}

/** A command out of what was said: observers get it, and it is carried out. */
export const obey = (...commands: readonly CommandEvent[]): Effect => ({
  emit: commands.map((command) => ({ type: 'obeyed', command }) as const),
  raise: commands,
})

/** No command came of it: the first time it is asked for again, after that another way is named. */
function missed(context: BarContext): Effect {
  const misses = context.repair.misses + 1
  return {
    ...repaired(context, { misses, question: null }),
    cues: [earcon('not understood'), say(misses === 1 ? 'repair.again' : 'repair.other-way')],
  }
}

/** What is answered to a phrase, and what comes of the answer to a question of the tool's own. */
export const repairActions = {
  /** Keeps what was not obeyed: it may turn out to have been the start or the end of a pour. */
  rememberSound: (context, event) =>
    event.type === 'utterance' && obeyedAs(event.utterance) === null
      ? repaired(context, { missed: rememberSound(context.repair.missed, event.utterance) })
      : {},

  hear: (context, event, work) => {
    if (event.type !== 'utterance') return {}
    const { place } = work
    const { utterance } = event
    const decision = decide(utterance)
    switch (decision.kind) {
      case 'obey': {
        const { command } = decision
        if (context.drillInput === null && context.pending === null) {
          const question = missedStop(context, command, work) ?? doubt(command, work)
          if (question && context.repair.question === null) return { raise: [{ type: 'ask', question }] }
        }
        // a word over the tool's own voice is for the tool to be quiet, when there is no pour to stop
        const isQuiet =
          command.intent === 'stop pour' && utterance.overOwnSpeech && work.loop.pours.length === 0
        return {
          ...repaired(context, { misses: 0 }),
          ...(isQuiet && context.drillInput === null ? { cues: [{ kind: 'hush' }] } : obey(toEvent(command))),
        }
      }
      case 'ask':
        // never two questions in a row, and none on top of another
        return context.repair.misses > 0 || context.pending !== null
          ? missed(context)
          : {
              ...repaired(context, { misses: 1 }),
              raise: [
                {
                  type: 'ask',
                  question: { kind: 'guess', commands: decision.guesses.map(toEvent), at: utterance.end },
                },
              ],
            }
      case 'say why not': {
        const { intent } = decision.command
        const question = context.drillInput === null ? missedStop(context, decision.command, work) : null
        if (question && context.repair.question === null && context.pending === null)
          return { raise: [{ type: 'ask', question }] }
        if (context.pending !== null) {
          const reason = context.pending.type === 'settings' ? 'why-not.in-settings' : 'why-not.asked'
          return { cues: [earcon('not understood'), say(reason)] }
        }
        // a drill repeats what it waits for
        if (context.drillInput !== null) return { toDrill: [toEvent(decision.command)] }
        const why = whyNot(place, intent)
        // only the question keeps it closed
        if (why === 'trouble.not-now') return obey(toEvent(decision.command))
        return why ? { cues: [earcon('not understood'), say(why)] } : {}
      }
      case 'not understood':
        return missed(context)
      case 'leave alone':
        return {}
    }
  },

  askRepair: (context, event) => {
    if (event.type !== 'ask') return {}
    const { sentence, values } = repairCue(event.question)
    return { ...repaired(context, { question: event.question }), cues: [say(sentence, values)] }
  },

  /** Yes. */
  agree: (context, event) => {
    const { question } = context.repair
    if (!question || !('onset' in event)) return {}
    const done = { change: { repair: { ...noRepair, missed: context.repair.missed } } }
    switch (question.kind) {
      case 'guess':
        return { ...done, ...obey(...question.commands.slice(0, 1)) }
      case 'missed start':
        return {
          ...done,
          toLoop: [{ type: 'missed pour', start: question.start, end: question.end, at: event.onset }],
        }
      case 'missed stop':
        return {
          change: { repair: { ...done.change.repair, then: question.then } },
          toLoop: [{ type: 'missed pour', start: question.start, end: question.end, at: event.onset }],
        }
      case 'moved':
        return { ...done, ...obey(question.move, ...(question.then ? [question.then] : [])) }
      case 'time wanted':
      case 'which way':
        return { ...done, ...again(question) }
    }
  },

  /** No. */
  disagree: (context, event) => {
    const { question } = context.repair
    if (!question || !('onset' in event)) return {}
    const done = repaired(context, { question: null })
    const at = event.onset
    switch (question.kind) {
      case 'guess':
        return { ...done, cues: [say('repair.refused')] }
      case 'missed start':
        return {
          ...done,
          raise: [{ type: 'ask', question: { kind: 'time wanted', start: null, end: question.end, at } }],
        }
      case 'missed stop':
        return {
          ...done,
          raise: [{ type: 'ask', question: { kind: 'time wanted', start: question.start, end: null, at } }],
        }
      case 'moved':
        return { ...done, cues: [say('repair.which-way')] }
      case 'which way':
        return { ...done, ...obey(question.then) }
      case 'time wanted':
        return done
    }
  },

  /** "Time was": the shot is counted with the time that was said. */
  countTime: (context, event) => {
    const { question } = context.repair
    if (question?.kind !== 'time wanted' || event.type !== 'time was') return {}
    const { seconds } = event.slots
    if (!isWithin(seconds, ranges.pour)) return refuse('trouble.seconds', seconds, ranges.pour)
    const end = question.end ?? question.start + seconds
    return {
      ...repaired(context, { question: null }),
      toLoop: [{ type: 'missed pour', start: end - seconds, end, at: event.onset }],
    }
  },

  /** With a pour, its end. With none, a start was missed: the last sound is looked for that can have been it. */
  stopPour: (context, event, { loop, place }) => {
    if (event.type !== 'stop pour') return {}
    if (context.drillInput !== null || loop.pours.length > 0) return { toWork: [event] }
    const { onset: end } = event
    const hush = { kind: 'hush' } as const
    const sinceLast = end - (loop.current.end ?? -Infinity)
    if (place === 'closed' || context.pending !== null || sinceLast < saidTwice) return { cues: [hush] }
    const { missed } = context.repair
    const from = Math.max(end - missedPour.longest, (loop.current.end ?? -Infinity) + saidTwice)
    const sound = lastThatCouldBe('start', missed, from, end - missedPour.shortest)
    return {
      // the word itself may have been a start that was misheard
      ...repaired(context, { missed: [...missed, { onset: end, start: 0.5, stop: 0, isUnknown: false }] }),
      cues: [hush],
      raise: [
        {
          type: 'ask',
          question: sound
            ? { kind: 'missed start', start: sound.onset, end, at: event.end }
            : { kind: 'time wanted', start: null, end, at: event.end },
        },
      ],
    }
  },

  /** What showed that a pour was over is done once its shot is counted. */
  goOn: (context) =>
    context.repair.then ? { ...repaired(context, { then: null }), ...obey(context.repair.then) } : {},

  /** Whatever else was said is the answer. */
  dropQuestion: (context, event) => {
    if (!('intent' in event)) return {}
    const { question } = context.repair
    const isMove = event.type === 'grind by' || event.type === 'grind at'
    return {
      ...repaired(context, { question: null, misses: 0 }),
      // the move that was asked for comes before the purge that was said
      raise: [event, ...(question?.kind === 'which way' && isMove ? [question.then] : [])],
    }
  },

  forgetQuestion: (context) => repaired(context, { question: null }),
} satisfies Record<string, BarAction>
