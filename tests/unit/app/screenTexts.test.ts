import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import screen from '../../../grammar/en/screen.json' with { type: 'json' }

const folder = new URL('../../../src/app/', import.meta.url)
const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
  /\.(ts|svelte)$/.test(name),
)
const source = files.map((name) => readFileSync(new URL(name, folder), 'utf8')).join('\n')
/** beginnings of keys that are put together, as `place.${place}` */
const beginnings = [...source.matchAll(/`([a-zA-Z.]+\.)\$\{/g)].map(([, beginning]) => beginning ?? '')

describe('the texts of the screen', () => {
  it('are all used', () => {
    const unused = Object.keys(screen).filter(
      (key) =>
        !source.includes(`'${key}'`) &&
        !source.includes(`'${key.replace(/\.one$/, '')}'`) &&
        !beginnings.some((beginning) => key.startsWith(beginning)),
    )
    expect(unused).toEqual([])
  })

  it('are the only words on it: no component has text of its own', () => {
    const components = files.filter((name) => name.endsWith('.svelte'))
    const own = components.flatMap((name) => {
      const markup = readFileSync(new URL(name, folder), 'utf8')
        .replace(/<(script|style)[\s\S]*?<\/\1>/g, '')
        .replace(/<!--[\s\S]*?-->/g, '')
        .replace(/\{(?:[^{}]|\{(?:[^{}]|\{[^{}]*\})*\})*\}/g, '')
        .replace(/<[^>]*>/g, '')
        .replace(/&\w+;/g, '')
      return [...markup.matchAll(/\p{L}{2,}/gu)].map(([word]) => `${name}: ${word}`)
    })
    expect(own).toEqual([])
  })
})
