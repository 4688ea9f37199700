import { priorities, type Priority } from '../messages/cue.ts'

/**
 * Who may speak when: one voice, four priorities. Pure: the time comes in as a number and what to do comes out as
 * a plain value, so that every rule can be tested without a sound. Times are seconds of one clock, whichever the
 * caller uses; the announcer uses the audio context's.
 *
 * The rules:
 * - a higher priority cuts a lower one off; what is cut off is said again afterwards, from its start;
 * - equal priorities wait for each other, in the order in which they came;
 * - a prompt replaces an older prompt, spoken or waiting, unless both carry the same tag;
 * - what has its own time begins at that time or, when a higher or equal priority is still speaking, after it,
 *   unless that is later than it `expires`;
 * - what has no time of its own does not begin when it would run into a more important utterance whose time
 *   is known: it waits until that is over.
 */
export interface Utterance<T> {
  /** rises with every utterance */
  order: number
  priority: Priority
  /** when it must begin; without it, as soon as it may */
  at?: number
  /** latest start */
  expires?: number
  tag?: string
  /** seconds */
  duration: number
  content: T
}

/** An utterance that was given its place on the loudspeaker. */
export interface Slot<T> {
  utterance: Utterance<T>
  start: number
  end: number
}

export interface Channel<T> {
  waiting: readonly Utterance<T>[]
  /** never overlapping, by start */
  slots: readonly Slot<T>[]
}

/** What the player has to do after a step. */
export interface Step<T> {
  channel: Channel<T>
  start: readonly Slot<T>[]
  /** `at` is the slot's start when it has not sounded yet */
  stop: readonly { slot: Slot<T>; at: number }[]
  dropped: readonly Utterance<T>[]
  /** when to plan again, if nothing else happens */
  wake: number | null
}

/** How long before its time an utterance is handed over. Longer than the second that hidden pages' timers may sleep. */
export const leadTime = 1.5

export const silence: Channel<never> = { waiting: [], slots: [] }

const rank = (utterance: Utterance<unknown>) => priorities.indexOf(utterance.priority)

/** Adds an utterance; {@link plan} decides what becomes of it. */
export function add<T>(channel: Channel<T>, utterance: Utterance<T>): Channel<T> {
  return { ...channel, waiting: [...channel.waiting, utterance] }
}

/** Takes back what has not sounded yet, and silences what has, for the utterances that `matches` picks. */
export function remove<T>(
  channel: Channel<T>,
  matches: (utterance: Utterance<T>) => boolean,
  now: number,
): Step<T> {
  const gone = channel.slots.filter((slot) => slot.end > now && matches(slot.utterance))
  return {
    channel: {
      waiting: channel.waiting.filter((utterance) => !matches(utterance)),
      slots: channel.slots.filter((slot) => !gone.includes(slot)),
    },
    start: [],
    stop: gone.map((slot) => ({ slot, at: Math.max(now, slot.start) })),
    dropped: channel.waiting.filter(matches),
    wake: null,
  }
}

/** Gives utterances their places. */
export function plan<T>(channel: Channel<T>, now: number): Step<T> {
  let slots = channel.slots.filter((slot) => slot.end > now)
  const kept: Utterance<T>[] = []
  const start: Slot<T>[] = []
  const stop: { slot: Slot<T>; at: number }[] = []
  const dropped: Utterance<T>[] = []
  const wakes: number[] = []

  const cut = (slot: Slot<T>, at: number) => {
    slots = slots.filter((other) => other !== slot)
    if (slot.start < at) slots.push({ ...slot, end: at })
    stop.push({ slot, at: Math.max(at, slot.start) })
  }

  const newest = newestPrompt(channel)
  const isStale = (utterance: Utterance<T>) =>
    newest !== undefined &&
    utterance.priority === 'prompt' &&
    utterance.order < newest.order &&
    (utterance.tag === undefined || utterance.tag !== newest.tag)
  for (const slot of slots.filter(({ utterance }) => isStale(utterance))) cut(slot, now)

  const inOrder = [...channel.waiting].sort(
    (one, other) => rank(one) - rank(other) || (one.at ?? 0) - (other.at ?? 0) || one.order - other.order,
  )
  for (const utterance of inOrder) {
    const wanted = Math.max(now, utterance.at ?? now)
    const expires = utterance.expires ?? Infinity
    if (isStale(utterance) || expires < now) {
      dropped.push(utterance)
      continue
    }
    if (wanted > now + leadTime) {
      kept.push(utterance)
      wakes.push(wanted - leadTime)
      continue
    }
    const free = firstFree(slots, utterance, wanted)
    if (free > expires) {
      dropped.push(utterance)
      continue
    }
    const ahead = utterance.at === undefined ? scheduledAhead(channel, utterance, free) : undefined
    if (ahead !== undefined || (free > wanted && free > now + leadTime)) {
      kept.push(utterance)
      wakes.push(ahead ?? free - leadTime)
      continue
    }
    const slot = { utterance, start: free, end: free + utterance.duration }
    for (const other of overlapping(slots, slot.start, slot.end)) {
      cut(other, slot.start)
      if (channel.waiting.includes(other.utterance)) continue // it was cut before, and waits already
      kept.push(other.utterance)
      wakes.push(slot.end)
    }
    slots.push(slot)
    start.push(slot)
  }

  return {
    channel: { waiting: kept, slots: slots.sort((one, other) => one.start - other.start) },
    start,
    stop,
    dropped,
    wake: wakes.length > 0 ? Math.max(now, Math.min(...wakes)) : null,
  }
}

function newestPrompt<T>(channel: Channel<T>): Utterance<T> | undefined {
  return [...channel.waiting, ...channel.slots.map((slot) => slot.utterance)]
    .filter((utterance) => utterance.priority === 'prompt')
    .reduce<Utterance<T> | undefined>((best, one) => (best && best.order > one.order ? best : one), undefined)
}

function overlapping<T>(slots: readonly Slot<T>[], start: number, end: number): Slot<T>[] {
  return slots.filter((slot) => slot.start < end && slot.end > start)
}

/** The first moment from `wanted` on at which nothing as important speaks. */
function firstFree<T>(slots: readonly Slot<T>[], utterance: Utterance<T>, wanted: number): number {
  const inTheWay = overlapping(slots, wanted, wanted + utterance.duration).filter(
    (slot) => rank(slot.utterance) <= rank(utterance),
  )
  return inTheWay.length === 0
    ? wanted
    : firstFree(slots, utterance, Math.max(...inTheWay.map((slot) => slot.end)))
}

/** The time of a more important utterance that is due before this one would have ended. */
function scheduledAhead<T>(channel: Channel<T>, utterance: Utterance<T>, start: number): number | undefined {
  const due = channel.waiting
    .filter((other) => rank(other) < rank(utterance) && other.at !== undefined)
    .map((other) => other.at ?? 0)
    .filter((at) => at > start && at < start + utterance.duration)
  return due.length > 0 ? Math.min(...due) : undefined
}
