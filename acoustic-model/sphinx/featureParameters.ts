/** What the front end of a Sphinx model expects of the sound (`feat.params`). */
export interface FeatureParameters {
  /** hertz */
  lowerFrequency: number
  /** hertz */
  upperFrequency: number
  filters: number
  lifter: number
  /** mean of each cepstral coefficient before anything has been heard */
  initialMean: readonly number[]
}

const kept = ['-lowerf', '-upperf', '-nfilt', '-lifter', '-cmninit'] as const

/** What the converter relies on and does not compute otherwise. */
const required: Readonly<Record<string, string>> = {
  '-transform': 'dct',
  '-feat': '1s_c_d_dd',
  '-svspec': '0-12/13-25/26-38',
  '-agc': 'none',
  '-cmn': 'batch',
  '-varnorm': 'no',
  '-model': 'ptm',
}

/**
 * Reads `feat.params`: one option and its value a line.
 *
 * @throws Error for an option that is missing, unknown, or has a value that this converter cannot honour
 */
export function readFeatureParameters(text: string): FeatureParameters {
  const options = new Map<string, string>()
  for (const line of text.split('\n').filter((line) => line.trim() !== '')) {
    const [name = '', value = ''] = line.trim().split(/\s+/)
    const expected = required[name]
    if (expected === undefined && !kept.some((option) => option === name))
      throw new Error(`feat.params: option ${name} is not known`)
    if (expected !== undefined && expected !== value)
      throw new Error(`feat.params: ${name} is ${value}, only ${expected} is supported`)
    options.set(name, value)
  }
  const numbers = (name: (typeof kept)[number]): number[] => {
    const values = (options.get(name) ?? '').split(',').map(Number)
    if (!options.has(name) || values.some(Number.isNaN))
      throw new Error(`feat.params: ${name} is missing or no number`)
    return values
  }
  const one = (name: (typeof kept)[number]): number => numbers(name)[0] ?? NaN
  return {
    lowerFrequency: one('-lowerf'),
    upperFrequency: one('-upperf'),
    filters: one('-nfilt'),
    lifter: one('-lifter'),
    initialMean: numbers('-cmninit'),
  }
}
