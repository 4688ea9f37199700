/**
 * npm run diagram [-- --check]
 *
 * Draws each machine of `src/bar` into `docs/machines/*.svg`. With --check it only compares, and fails when a drawing
 * is not what the machine is now.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import nomnoml from 'nomnoml'
import type { AnyStateMachine, AnyStateNode } from 'xstate'
import { barMachine } from '../src/bar/bar.machine.ts'
import { drillMachine } from '../src/bar/drill/drill.machine.ts'
import { handOffMachine } from '../src/bar/handOff/handOff.machine.ts'
import { pourMachine } from '../src/bar/loop/pour.machine.ts'
import { loopMachine } from '../src/bar/loop/loop.machine.ts'

const machines: Record<string, AnyStateMachine> = {
  bar: barMachine,
  loop: loopMachine,
  pour: pourMachine,
  drill: drillMachine,
  handOff: handOffMachine,
}

const folder = new URL('./machines/', import.meta.url)

/** A state by its path inside its machine: `open.pull.ready`. */
const nameOf = (node: AnyStateNode) => node.path.join('.') || node.machine.id

/** Where a transition into a state really ends: its innermost initial states. */
function entered(node: AnyStateNode): AnyStateNode[] {
  if (node.type === 'parallel') return Object.values(node.states).flatMap(entered)
  const initial = node.initial?.target?.[0]
  return initial ? entered(initial) : [node]
}

/** A state as the drawing names it; what may happen anywhere inside a state starts from a box of its own. */
const labelOf = (node: AnyStateNode) =>
  Object.keys(node.states).length > 0 ? `<note>anywhere in ${nameOf(node)}` : nameOf(node)

/**
 * Events that lead from one state to another. Left out: what only does something and stays, and undo, which leads
 * from everywhere back to where the undone command was given.
 */
function draw(machine: AnyStateMachine): string {
  const edges = new Map<string, Set<string>>()
  const visit = (node: AnyStateNode) => {
    for (const { eventType, target } of [...node.transitions.values()].flat().concat(node.always ?? []))
      for (const end of (target ?? []).flatMap(entered)) {
        if (end === node || eventType === 'undo' || eventType.startsWith('xstate.')) continue
        const key = `[${labelOf(node)}] %s -> [${labelOf(end)}]`
        edges.set(key, (edges.get(key) ?? new Set()).add(eventType === '' ? 'at once' : eventType))
      }
    Object.values(node.states).forEach(visit)
  }
  visit(machine.root)
  const starts = entered(machine.root).map((node) => `[<start>${machine.id}] -> [${labelOf(node)}]`)
  const lines = [...edges].map(([key, events]) => key.replace('%s', [...events].join(', ')))
  return nomnoml.renderSvg(
    [
      '#direction: right',
      '#spacing: 110',
      '#fontSize: 11',
      '#lineWidth: 1.5',
      '#arrowSize: 0.5',
      ...starts,
      ...lines,
    ].join('\n'),
  )
}

const isCheck = process.argv.includes('--check')
mkdirSync(folder, { recursive: true })
for (const [name, machine] of Object.entries(machines)) {
  const file = new URL(`${name}.svg`, folder)
  const drawing = `${draw(machine)}\n`
  if (!isCheck) writeFileSync(file, drawing)
  else if (readFileSync(file, 'utf8') !== drawing) {
    console.error(`docs/machines/${name}.svg is out of date: npm run diagram`)
    process.exitCode = 1
  }
}
