import { describe, expect, test } from 'vitest'
import { headersFor, pagePolicy } from '../../../headers.ts'
import { readServer } from '../../../src/logbook/server.ts'

describe('the headers of the built app', () => {
  test('forbid a page everything that it does not need', () => {
    const page = headersFor('/index.html')
    expect(page['Content-Security-Policy']).toContain("default-src 'none'")
    expect(page['Content-Security-Policy']).toContain("frame-ancestors 'none'")
    expect(page['Content-Security-Policy']).not.toMatch(/unsafe-eval(?<!wasm-unsafe-eval)|unsafe-inline/)
    expect(page['X-Content-Type-Options']).toBe('nosniff')
    expect(page['Referrer-Policy']).toBe('no-referrer')
    // the recogniser's thread alone may make code of text
    expect(headersFor('/assets/hearing.worker-abc.js')['Content-Security-Policy']).toContain("'unsafe-eval'")
    expect(headersFor('/assets/index-abc.js')).not.toHaveProperty('Content-Security-Policy')
  })

  test.each(['http://localhost:5984/chain', 'http://127.0.0.1:5984/chain', 'https://bar.example/chain'])(
    'let a page reach every server that can be named: %s',
    (address) => {
      const { protocol, hostname } = new URL(readServer(address).url)
      const sources = /connect-src ([^;]+)/.exec(pagePolicy)?.[1]?.split(' ') ?? []
      expect(sources).toContain(protocol === 'https:' ? 'https:' : `http://${hostname}:*`)
    },
  )
})
