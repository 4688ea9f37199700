/** The machines that make entries. */
export type Maker = 'bar' | 'loop' | 'drill'

const letters: Readonly<Record<Maker, string>> = { bar: 'b', loop: 'l', drill: 'd' }

/** Id of the nth entry or shot that a machine makes, unique on the device. `at`: bar clock. */
export const entryId = (maker: Maker, at: number, nth: number) =>
  `${Math.round(at * 1000)}-${letters[maker]}${nth}`
