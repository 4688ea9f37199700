import { handOffControls, next, noteDose, openShift, purged, resumeListening, sayNo } from './controls.ts'
import { startPour, stopPour, tampForce, type Control } from './controls.ts'
import type { Situation } from '../../bar/index.ts'
import type { Command, Destination, Meaning, Source } from '../../messages/command.ts'
import type { GrammarName } from '../../messages/grammarName.ts'

/**
 * What the space bar, a foot switch and the one big button do: the most likely next thing of the situation. A cup
 * that waits goes before everything but a pour that runs. What cannot be undone is never done by it: asked, it
 * answers no.
 *
 * @param liquid what a waiting cup goes into: the one last named
 * @param isPurged whether the dose in the grinder is of the grind that is set
 */
export function likelyNext(situation: Situation, destination: Destination, isPurged = true): Control {
  const { place, listening, asking, waiting, drill } = situation
  if (listening === 'paused') return resumeListening
  if (asking === 'setting') return next
  if (asking !== 'nothing') return sayNo
  if (drill ? drill.includes('pouring') : place === 'pouring') return stopPour
  if (waiting > 0)
    return handOffControls(null).find(({ label }) => label === `destination.${destination}`) ?? next
  if (drill) return nextInDrill(drill)
  if (place === 'closed') return openShift
  if (place === 'grind' && !isPurged) return purged
  return place === 'ready' ? startPour : next
}

function nextInDrill(open: readonly GrammarName[]): Control {
  if (open.includes('ready')) return startPour
  if (open.includes('tamp')) return tampForce
  if (open.includes('dose')) return noteDose
  return next
}

/** A key as the controls name it: digits and Enter of the number block are those of the main one. */
export function keyName({ code, shiftKey }: Pick<KeyboardEvent, 'code' | 'shiftKey'>): string {
  const digit = /^Numpad(\d)$/.exec(code)?.[1]
  const name = digit ? `Digit${digit}` : code === 'NumpadEnter' ? 'Enter' : code
  return shiftKey ? `Shift+${name}` : name
}

/** The control of a key among those that are open; with Shift, the plain one when nothing has the other. */
export function controlFor(key: string, open: readonly Control[]): Control | undefined {
  const named = (name: string) => open.find((control) => control.key === name)
  return named(key) ?? named(key.replace(/^Shift\+/, ''))
}

/** A command from a key, a touch or a pedal, at the moment it was pressed. */
export const pressed = (
  meaning: Meaning,
  at: number,
  name: string,
  source: Exclude<Source, 'voice'>,
): Command => ({
  ...meaning,
  onset: at,
  end: at,
  confidence: 1,
  heard: name,
  source,
})
