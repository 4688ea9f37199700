import { describe, expect, test } from 'vitest'
import { driveBar } from './driveBar.ts'

const known = () => {
  const driver = driveBar({ pump: true })
  driver.say('open shift').wait(1)
  driver.bar.send({ type: 'pump known', isKnown: true, at: driver.now })
  return driver
}
type Driver = ReturnType<typeof known>

/** The pump runs from now for some seconds; it is heard a second after it began, and to have ended 1.5 s after that. */
function run(driver: Driver, seconds: number) {
  const onset = driver.now
  driver.wait(1)
  driver.bar.send({ type: 'pump began', onset, at: driver.now })
  driver.wait(seconds - 1)
  const end = driver.now
  driver.wait(1.5)
  driver.bar.send({ type: 'pump ended', onset, end, at: driver.now })
}

const shots = (driver: Driver) =>
  driver.log.flatMap((entry) => (entry.kind === 'shot' ? [entry.seconds] : []))

describe('a pump that is known', () => {
  test('times the pour without a word, and its delay is not in the time', () => {
    const driver = known()
    driver.say('next').say('next').say('next').wait(2)
    run(driver, 19)
    expect(shots(driver)).toEqual([19])
  })

  test('times the next shot of a regular who skips the words', () => {
    const driver = known()
    run(driver, 20)
    driver.wait(30)
    run(driver, 18)
    expect(shots(driver)).toEqual([20, 18])
  })

  test('is no shot when it only flushed', () => {
    const driver = known()
    run(driver, 3)
    driver.say('next').say('next').say('next').wait(2)
    run(driver, 4)
    expect(shots(driver)).toEqual([])
  })

  test('yields to a word that ends the pour', () => {
    const driver = known()
    driver.say('next').say('next').say('next').wait(2)
    const onset = driver.now
    driver.wait(1)
    driver.bar.send({ type: 'pump began', onset, at: driver.now })
    driver.wait(16).say('stop pour').wait(4)
    driver.bar.send({ type: 'pump ended', onset, end: driver.now, at: driver.now })
    expect(shots(driver)).toEqual([17])
  })

  test('does not say which of two groups has ended', () => {
    const driver = known()
    driver.say('start group', { group: 'left' }).wait(3).say('start group', { group: 'right' })
    run(driver, 18)
    expect(shots(driver)).toEqual([])
    expect(driver.cues).toContainEqual(expect.objectContaining({ sentence: 'pump.two-groups' }))
  })

  test('is not gone by any more when it is not heard well', () => {
    const driver = known()
    driver.bar.send({ type: 'pump known', isKnown: false, at: driver.now })
    run(driver, 20)
    expect(shots(driver)).toEqual([])
    expect(driver.cues).toContainEqual(expect.objectContaining({ sentence: 'pump.unsure' }))
  })
})

test('a pump is not gone by unless it was asked for', () => {
  const driver = driveBar()
  driver.say('open shift').wait(1)
  driver.bar.send({ type: 'pump known', isKnown: true, at: driver.now })
  run(driver, 20)
  expect(shots(driver)).toEqual([])
})
