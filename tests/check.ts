/**
 * npm run check
 *
 * Every gate but the tests, at most as many at once as there are processor cores. Prints the time of each, and what
 * those that fail have to say; then measures the house.
 */
import { spawn } from 'node:child_process'
import { availableParallelism } from 'node:os'
import { measureHouse } from './house.ts'

/** The longest first. `svelte-check` checks the types of all TypeScript, not of the components alone. */
const gates: Record<string, string> = {
  types: 'svelte-check --tsconfig ./tsconfig.json --output human',
  lint: 'eslint . --cache --cache-location node_modules/.cache/eslint/ --cache-strategy content',
  format: 'prettier --check --log-level warn --cache --cache-location node_modules/.cache/prettier-check .',
  'unused code': 'knip --no-progress --no-config-hints',
  grammar: 'tsx grammar/check.ts',
  drawings: 'tsx docs/drawMachines.ts --check',
}

/** Runs one gate. @returns whether it is content */
function run(name: string, command: string): Promise<boolean> {
  const begun = performance.now()
  const child = spawn('npx', command.split(' '), { stdio: ['ignore', 'pipe', 'pipe'] })
  let output = ''
  child.stdout.on('data', (text: Buffer) => (output += text.toString()))
  child.stderr.on('data', (text: Buffer) => (output += text.toString()))
  return new Promise((resolve, reject) => {
    child.on('error', reject)
    child.on('close', (status) => {
      const seconds = ((performance.now() - begun) / 1000).toFixed(1)
      console.log(`${status === 0 ? 'ok  ' : 'FAIL'} ${name}, ${seconds} s`)
      if (status !== 0) console.log(output)
      resolve(status === 0)
    })
  })
}

const waiting = Object.entries(gates)
let isContent = true
async function worker(): Promise<void> {
  for (let next = waiting.shift(); next; next = waiting.shift()) isContent = (await run(...next)) && isContent
}
await Promise.all(Array.from({ length: availableParallelism() }, worker))
const faults = measureHouse()
for (const fault of faults) console.log(`FAIL ${fault}`)
process.exitCode = isContent && faults.length === 0 ? 0 : 1
