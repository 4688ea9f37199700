import { BinaryWriter } from './binaryWriter.ts'
import { writeNetwork, type Network } from './network.ts'
import type { TransitionModel } from './transitionModel.ts'

/** The bytes of `am/final.mdl`: transition model and network in one binary file. */
export function finalModel(transitions: TransitionModel, network: Network): Uint8Array {
  const writer = new BinaryWriter()
  writer.binaryMark()
  transitions.write(writer)
  writeNetwork(writer, network)
  return writer.result()
}
