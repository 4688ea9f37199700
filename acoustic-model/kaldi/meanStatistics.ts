import { BinaryWriter } from './binaryWriter.ts'

/**
 * The bytes of `am/global_cmvn.stats`: sums and sums of squares over a number of frames, from which the
 * engine takes the mean that it subtracts before it has heard anything.
 *
 * @param mean of each coefficient
 * @param variance the same for each coefficient; the engine ignores it, for it normalises means only
 */
export function meanStatistics(mean: readonly number[], variance = 100, frames = 1000): Uint8Array {
  const writer = new BinaryWriter()
  writer.binaryMark()
  writer.doubleMatrix({
    rows: 2,
    columns: mean.length + 1,
    values: [
      ...mean.map((value) => value * frames),
      frames,
      ...mean.map((value) => (value ** 2 + variance) * frames),
      0,
    ],
  })
  return writer.result()
}
