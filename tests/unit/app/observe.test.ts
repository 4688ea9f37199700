import { describe, expect, test, vi } from 'vitest'
import { createObservable, type Observation } from '../../../src/app/live/observe.ts'

const heard = {
  kind: 'heard',
  at: 1,
  command: { intent: 'status', slots: null, onset: 0, end: 1, confidence: 1, heard: 'x', source: 'key' },
} as const satisfies Observation

describe('what the app shows of itself', () => {
  test('cannot be changed by who looks at it', () => {
    const { observable, report } = createObservable()
    const given: Observation = structuredClone(heard)
    observable.observe((seen) => {
      if (seen.kind === 'heard') Object.assign(seen.command, { intent: 'undo' })
    })
    report(given)
    expect(given).toEqual(heard)
    expect(() => Object.assign(observable, { observe: () => undefined })).toThrow(TypeError)
  })

  test('reaches the others when one of them fails', () => {
    const { observable, report } = createObservable()
    const failed = vi.spyOn(console, 'error').mockImplementation(() => undefined)
    const seen: string[] = []
    observable.observe(() => {
      throw new Error('broken')
    })
    observable.observe(({ kind }) => seen.push(kind))
    expect(() => report(heard)).not.toThrow()
    expect(seen).toEqual(['heard'])
    expect(failed).toHaveBeenCalledOnce()
    failed.mockRestore()
  })
})
