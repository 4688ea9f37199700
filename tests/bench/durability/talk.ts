import type { Session } from '../../../audio-fixtures/session.ts'
import type { Place } from '../../../src/bar/index.ts'

/** Where the work stands when the talking begins. */
export interface Standing {
  place: Place
  /** a question waits for its yes or no */
  isAsked: boolean
  /** cups that wait for their liquid */
  waiting: number
}

interface Words {
  say: string
  /** where it leads, when it is understood */
  then?: Place
  /** it leads there only after a yes */
  asks?: boolean
}

/** What a barista says in each place; what is there twice is said twice as often. */
const wordsOf: Readonly<Record<Place, readonly Words[]>> = {
  closed: [{ say: 'open shift', then: 'grind' }],
  grind: [
    { say: 'one notch finer' },
    { say: 'one notch coarser' },
    { say: 'two and a half notches coarser' },
    { say: 'half a notch finer' },
    { say: 'purged' },
    { say: 'purged' },
    { say: 'coffee number three' },
    { say: 'close the shift', then: 'closed', asks: true },
    { say: 'next', then: 'dose' },
    { say: 'go', then: 'pouring' },
    { say: 'start', then: 'pouring' },
    { say: 'go', then: 'pouring' },
  ],
  dose: [
    { say: 'dose eighteen point two', then: 'tamp' },
    { say: 'next', then: 'tamp' },
  ],
  tamp: [{ say: 'pressed forty pounds' }, { say: 'tamped', then: 'ready' }, { say: 'go', then: 'pouring' }],
  ready: [{ say: 'two cups' }, { say: 'go', then: 'pouring' }, { say: 'start the pour', then: 'pouring' }],
  pouring: [{ say: 'stop', then: 'judge' }],
  judge: [
    { say: 'looks even' },
    { say: 'tastes sour' },
    { say: 'tastes good' },
    { say: 'undo that' },
    { say: 'throw it out', then: 'judge', asks: true },
    { say: 'one notch finer', then: 'grind' },
    { say: 'leave it', then: 'grind' },
    { say: 'go', then: 'pouring' },
  ],
  adjust: [
    { say: 'one notch finer', then: 'grind' },
    { say: 'leave it', then: 'grind' },
    { say: 'purge done' },
  ],
}

const liquids = ['into milk', 'water', 'first into oat milk']

/**
 * So many seconds of somebody at the bar, from where the work stands: words at random, but such as fit there.
 *
 * @param random uniform, 0 to 1
 */
export function talk(from: Standing, seconds: number, voice: string, random: () => number): Session {
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)] as T
  const lines: Session['lines'] = []
  let { place, isAsked, waiting } = from
  let past = 0
  const say = (text: string, wait: number) => {
    lines.push({ say: text, wait, level: 0, talk: false })
    past += wait + 1
  }
  while (past < seconds) {
    const wait = 0.8 + random() * 0.5
    if (isAsked) {
      say(pick(['yes', 'no']), wait)
      isAsked = false
    } else if (place !== 'pouring' && waiting > 0 && random() < 0.6) {
      say(pick(liquids), wait)
      waiting -= 1
    } else {
      const words = pick(wordsOf[place])
      // a pour of less than two seconds is a false start
      say(words.say, place === 'pouring' ? 1.8 + random() * 2.5 : wait)
      if (place === 'pouring') waiting += 1
      place = words.then ?? place
      if (words.asks) say('yes', wait)
    }
  }
  return {
    title: `from ${from.place}`,
    voice,
    leadIn: 1.5 + 0.5 * random(),
    leadOut: 2,
    background: [{ sound: 'room', level: -45 }],
    lines,
    log: [],
  }
}
