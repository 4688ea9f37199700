import type { FeatureParameters } from './sphinx/featureParameters.ts'

/**
 * The text of `conf/mfcc.conf`: the engine's features set up as those of the Sphinx model. A Sphinx frame is
 * 410 samples at 16 kHz.
 */
export function mfccConf(features: FeatureParameters): string {
  const options = {
    'sample-frequency': 16000,
    'frame-length': 25.625,
    'frame-shift': 10,
    'num-mel-bins': features.filters,
    'num-ceps': features.initialMean.length,
    'low-freq': features.lowerFrequency,
    'high-freq': features.upperFrequency,
    'cepstral-lifter': features.lifter,
    'preemphasis-coefficient': 0.97,
    'window-type': 'hamming',
    'use-energy': false,
    'remove-dc-offset': false,
    'snip-edges': true,
    dither: 1,
  }
  return Object.entries(options)
    .map(([name, value]) => `--${name}=${value}\n`)
    .join('')
}
