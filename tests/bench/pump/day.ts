import { barRooms } from '../../../audio-fixtures/pump/barRooms.ts'
import { machines, type Machine } from '../../../audio-fixtures/pump/machine.ts'
import { pumpDay, type Background, type PumpDay } from '../../../audio-fixtures/pump/pumpDay.ts'
import { sampleRate } from '../../../audio-fixtures/wav.ts'
import { shortestShot } from '../../../src/hearing/pump/check.ts'
import { PumpStudent, type PumpKnowledge, type PumpReport } from '../../../src/hearing/pump/pumpStudent.ts'

/** What is measured of one day with one machine in one room. */
export interface DayResult {
  name: string
  level: number
  isReady: boolean
  knowledge: PumpKnowledge
  /** for each untaught shot how far onset and end were off, seconds; null where it was missed */
  errors: readonly ({ onset: number; end: number } | null)[]
  /** runs where no pump of this machine ran, with what was to be heard then */
  falseRuns: readonly { seconds: number; what: readonly string[] }[]
  /** hours after the lessons in which no pump of this machine ran */
  hours: number
  /** seconds of the processor for each second of sound: listening, and with the lessons */
  listening: number
  learning: number
}

const backgrounds: readonly Background[] = ['babble', 'music', 'room', 'fridge', 'none']
/** Speech above the bar's noise, dB. */
const ratio = 9

/** Makes and hears the nth day; the same number gives the same day. */
export async function hearDay(n: number, level: number, heldOut: boolean, seedBase = 0): Promise<DayResult> {
  const choice = machines.filter(({ isHeldOut }) => isHeldOut === heldOut)
  const machine = choice[(n * 3 + (n >> 2)) % choice.length] as Machine
  const room = barRooms[n % barRooms.length] as (typeof barRooms)[number]
  const background = backgrounds[(n + (n >> 2)) % backgrounds.length] ?? 'babble'
  const day = await pumpDay({
    machine,
    room,
    pumpLevel: level,
    background,
    ratio,
    taught: 5,
    shots: 5,
    idle: 120,
    seed: seedBase + n + 1,
  })
  return { ...heard(day), name: `${machine.name}, ${room.name}, ${background}`, level }
}

function heard(day: PumpDay): Omit<DayResult, 'name' | 'level'> {
  const reports: PumpReport[] = []
  const student = new PumpStudent((report) => reports.push(report))
  const lessons = day.pumps.flatMap(({ said }) => (said ? [said] : []))
  const learntAt = (lessons.at(-1)?.end ?? 0) + 13
  student.begin(0)
  const piece = sampleRate / 50
  let [listening, learning, next] = [0, 0, 0]
  for (let at = 0; at < day.samples.length; at += piece) {
    const lesson = lessons[next]
    if (lesson && at / sampleRate > lesson.end + 0.5) {
      student.taught(lesson.onset, lesson.end)
      next++
    }
    const before = performance.now()
    const known = reports.length
    student.hear(day.samples.subarray(at, at + piece))
    const spent = (performance.now() - before) / 1000
    if (reports.slice(known).some(({ kind }) => kind === 'learnt')) learning += spent
    else listening += spent
  }
  const runs = reports.flatMap((report) => (report.kind === 'off' && report.onset > learntAt ? [report] : []))
  const after = day.pumps.filter(({ onset }) => onset > learntAt)
  const errors = after
    .filter(({ kind }) => kind === 'shot')
    .map((shot) => {
      const run = runs.find(
        ({ onset, end }) =>
          Math.min(end, shot.end) - Math.max(onset, shot.onset) > (shot.end - shot.onset) / 2,
      )
      return run ? { onset: run.onset - shot.onset, end: run.end - shot.end } : null
    })
  const falseRuns = runs
    .filter((run) => !day.pumps.some(({ onset, end }) => onset < run.end && end > run.onset))
    .map((run) => ({
      seconds: run.end - run.onset,
      what: day.others.filter(({ onset, end }) => onset < run.end && end > run.onset).map(({ what }) => what),
    }))
  const seconds = day.samples.length / sampleRate
  const pumped = after.reduce((sum, { onset, end }) => sum + end - onset, 0)
  return {
    isReady: student.knowledge.isReady,
    knowledge: student.knowledge,
    errors,
    falseRuns,
    hours: (seconds - learntAt - pumped) / 3600,
    listening: listening / seconds,
    learning: (listening + learning) / seconds,
  }
}

/** Whether a false run could have started a shot: it is as long as one. */
export const isShotLong = ({ seconds }: { seconds: number }): boolean => seconds >= shortestShot
