import type { Observation } from '../../src/app/live/observe.ts'
import { medianAndWorst, tolerance } from './compareLog.ts'
import type { Rehearsal } from './rehearseSession.ts'

interface Line {
  at: number
  text: string
}

/** A rehearsal as text: who said what when, side by side, then the log, the shot times, and what is wrong. */
export function tellRehearsal(rehearsal: Rehearsal): string {
  const { recording, observations, log, errors, differences, pageErrors } = rehearsal
  const said: Line[] = recording.spoken.map((line) => ({
    at: line.onset,
    text: `${line.talk ? 'talk  ' : 'spoken'}   ${line.voice}: "${line.say}"`,
  }))
  const heard: Line[] = observations.flatMap((observation) => {
    const text = textOf(observation)
    return text ? [{ at: rehearsal.intoRecording(timeOf(observation)), text }] : []
  })
  const { median, worst } = medianAndWorst(errors)
  return [
    ...[...said, ...heard]
      .sort((a, b) => a.at - b.at)
      .map(({ at, text }) => `${at.toFixed(2).padStart(7)} s  ${text}`),
    '',
    'log',
    ...log.map((entry) => `  ${JSON.stringify(entry)}`),
    '',
    ...errors.map(
      (error, shot) =>
        `shot ${shot + 1}: poured ${recording.pours[shot]?.toFixed(3)} s, logged ${signed(error)} s`,
    ),
    `shot times: median error ${median.toFixed(3)} s, worst ${worst.toFixed(3)} s (at most ${tolerance} s allowed)`,
    ...pageErrors.map((error) => `the page reported: ${error}`),
    ...(differences.length > 0
      ? ['the log differs from the session:', ...differences.map((line) => `  ${line}`)]
      : []),
    differences.length > 0 ? 'FAILED' : 'the log is what the session says',
  ].join('\n')
}

function textOf(observation: Observation): string | undefined {
  switch (observation.kind) {
    case 'heard': {
      const { heard, intent, slots, confidence, end } = observation.command
      const meaning = `${intent} ${slots ? JSON.stringify(slots) : ''}`
      return `  heard  "${heard}" = ${meaning} (${confidence.toFixed(2)}, ${later(observation.at - end)})`
    }
    case 'rejected':
      return `  no command: "${observation.heard}" (${observation.reason}, ${later(observation.at - observation.end)})`
    case 'said':
      return `    tool "${observation.text}" (${(observation.until - observation.at).toFixed(1)} s)`
    case 'sounded':
      return `    tool <${observation.earcon}>`
    case 'listening':
      return observation.listening === 'on'
        ? undefined
        : `  listening ${observation.listening} ${observation.trouble ?? ''}`
    case 'logged':
    case 'state':
      return undefined
  }
}

function timeOf(observation: Observation): number {
  switch (observation.kind) {
    case 'heard':
      return observation.command.onset
    case 'rejected':
      return observation.onset
    default:
      return observation.at
  }
}

const later = (seconds: number) => `${seconds.toFixed(1)} s later`

const signed = (seconds: number) => `${seconds < 0 ? '-' : '+'}${Math.abs(seconds).toFixed(3)}`
