import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { readFeatureParameters, type FeatureParameters } from './featureParameters.ts'
import { readGaussians, type Gaussians } from './gaussians.ts'
import { readMixtureWeights, type MixtureWeights } from './mixtureWeights.ts'
import { readModelDefinition, type ModelDefinition } from './modelDefinition.ts'
import { readTransitionMatrices, type TransitionMatrices } from './transitionMatrices.ts'

/** A phonetically tied Sphinx model: one codebook of Gaussians a base phone, in three streams. */
export interface SphinxModel {
  definition: ModelDefinition
  means: Gaussians
  variances: Gaussians
  weights: MixtureWeights
  transitions: TransitionMatrices
  features: FeatureParameters
}

/** Reads every file of a Sphinx model's folder. */
export function readSphinxModel(folder: string): SphinxModel {
  const read = (name: string): Uint8Array => new Uint8Array(readFileSync(join(folder, name)))
  const means = readGaussians(read('means'), 'means')
  return {
    definition: readModelDefinition(read('mdef')),
    means,
    variances: readGaussians(read('variances'), 'variances'),
    weights: readMixtureWeights(read('sendump'), means),
    transitions: readTransitionMatrices(read('transition_matrices')),
    features: readFeatureParameters(new TextDecoder().decode(read('feat.params'))),
  }
}
