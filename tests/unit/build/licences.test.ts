import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { licencesText, shippedPackages } from '../../../licences.ts'

const root = join(import.meta.dirname, '../../..')
const packages = shippedPackages(root)

describe('the licences of what is shipped', () => {
  test('are those of every dependency and of theirs, each permissive and with its text', () => {
    const { dependencies } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as {
      dependencies: Record<string, string>
    }
    const names = packages.map(({ name }) => name)
    expect(names).toEqual(expect.arrayContaining(Object.keys(dependencies)))
    // one that comes by way of another
    expect(names).toContain('workbox-core')
    for (const { name, licence, text } of packages) {
      expect(licence, name).toMatch(/^(MIT|Apache-2\.0|ISC|0BSD|BSD-[23]-Clause|\(WTFPL OR MIT\))$/)
      expect(text, name).toMatch(/permission|Apache License|redistribution|copying/i)
    }
  })

  test('are named in NOTICE', () => {
    const notice = readFileSync(join(root, 'NOTICE'), 'utf8')
    for (const { name, licence } of packages) expect(notice).toContain(`- ${name} (${licence})\n`)
  })

  test('come as one text in which every package has its heading', () => {
    const text = licencesText(packages)
    for (const { name, version } of packages) expect(text).toContain(`${name} ${version} (`)
    expect(text).toContain('END OF TERMS AND CONDITIONS')
  })
})
