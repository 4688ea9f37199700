import { readdirSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import sentences from '../../../grammar/en/sentences.json' with { type: 'json' }

const read = (folder: string, ending: RegExp) => {
  const at = new URL(`../../../${folder}/`, import.meta.url)
  return readdirSync(at, { recursive: true, encoding: 'utf8' })
    .filter((path) => ending.test(path))
    .map((path) => readFileSync(new URL(path, at), 'utf8'))
    .join('\n')
}
const source = read('src', /\.(ts|svelte)$/)
const data = read('grammar/en/drills', /\.json$/)
/** beginnings of keys that are put together, as `place.${place}` */
const beginnings = [...source.matchAll(/`([a-z][a-zA-Z.-]*\.)\$\{/g)].map(([, beginning]) => beginning ?? '')

it('every sentence can be said', () => {
  const unused = Object.keys(sentences).filter(
    (key) =>
      !source.includes(`'${key.replace(/\.(one|two|few|many|zero)$/, '')}'`) &&
      !source.includes(`'${key}'`) &&
      !data.includes(`"${key}"`) &&
      !beginnings.some((beginning) => key.startsWith(beginning)),
  )
  expect(unused).toEqual([])
})
