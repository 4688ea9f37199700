import type { BinaryWriter, Matrix, SteppedMatrix } from './binaryWriter.ts'

/** What a node of the network computes from its input. */
export type Component =
  | { kind: 'affine'; linear: Matrix | SteppedMatrix; bias: ArrayLike<number> }
  /** its input as it is: names a sum or a selection of other nodes */
  | { kind: 'copy'; size: number }
  /** first half of the input times the second half, element by element */
  | { kind: 'product'; outputs: number }
  | { kind: 'softmax'; size: number }
  | { kind: 'log-softmax'; size: number }
  | { kind: 'rectified'; size: number }
  /**
   * each input x, made x / |x| (or 0 for tiny x), followed by ln(|x| / target): every input is a block of
   * its own, so the outputs come in pairs
   */
  | { kind: 'logarithm'; size: number }
  /** sums of neighbouring inputs, `groups` of them, `width` each */
  | { kind: 'sum of groups'; groups: number; width: number }

/** Root mean square that the logarithm is taken against. */
export const logarithmTarget = 1e-8

export type NetworkNode =
  | { kind: 'component'; name: string; input: string; component: Component }
  /** some columns of another node */
  | { kind: 'range'; name: string; input: string; offset: number; size: number }

/** An nnet3 network: nodes in the order they are computed, inputs as nnet3 descriptors. */
export interface Network {
  /** columns of the node `input`: the features */
  inputSize: number
  nodes: readonly NetworkNode[]
  /** descriptor of the output */
  output: string
  /** frames of context that the network looks at, before and after */
  leftContext: number
  rightContext: number
}

/** Writes the network with its context and no priors, as in `final.mdl` after the transition model. */
export function writeNetwork(to: BinaryWriter, network: Network): void {
  to.token('<Nnet3>')
  to.text(`\n${configLines(network).join('\n')}\n\n`)
  const components = network.nodes.flatMap((node) => (node.kind === 'component' ? [node] : []))
  to.token('<NumComponents>')
  to.int32(components.length)
  for (const { name, component } of components) {
    to.token('<ComponentName>')
    to.token(name)
    writeComponent(to, component)
  }
  to.token('</Nnet3>')
  to.token('<LeftContext>')
  to.int32(network.leftContext)
  to.token('<RightContext>')
  to.int32(network.rightContext)
  to.token('<Priors>')
  to.floatVector([])
}

function configLines(network: Network): string[] {
  const nodes = network.nodes.map((node) =>
    node.kind === 'component'
      ? `component-node name=${node.name} component=${node.name} input=${node.input}`
      : `dim-range-node name=${node.name} input-node=${node.input} dim-offset=${node.offset} dim=${node.size}`,
  )
  return [
    `input-node name=input dim=${network.inputSize}`,
    ...nodes,
    `output-node name=output input=${network.output} objective=linear`,
  ]
}

function writeComponent(to: BinaryWriter, component: Component): void {
  switch (component.kind) {
    case 'affine':
      to.token('<FixedAffineComponent>')
      to.token('<LinearParams>')
      if ('steps' in component.linear) to.steppedMatrix(component.linear)
      else to.floatMatrix(component.linear)
      to.token('<BiasParams>')
      to.floatVector(component.bias)
      to.token('</FixedAffineComponent>')
      return
    case 'copy':
      to.token('<NoOpComponent>')
      to.token('<Dim>')
      to.int32(component.size)
      to.token('<BackpropScale>')
      to.float(1)
      to.token('</NoOpComponent>')
      return
    case 'product':
      to.token('<ElementwiseProductComponent>')
      to.token('<InputDim>')
      to.int32(2 * component.outputs)
      to.token('<OutputDim>')
      to.int32(component.outputs)
      to.token('</ElementwiseProductComponent>')
      return
    case 'softmax':
      return writeNonlinear(to, 'SoftmaxComponent', component.size)
    case 'log-softmax':
      return writeNonlinear(to, 'LogSoftmaxComponent', component.size)
    case 'rectified':
      return writeNonlinear(to, 'RectifiedLinearComponent', component.size)
    case 'logarithm':
      to.token('<NormalizeComponent>')
      to.token('<InputDim>')
      to.int32(component.size)
      to.token('<BlockDim>')
      to.int32(1)
      to.token('<TargetRms>')
      to.float(logarithmTarget)
      to.token('<AddLogStddev>')
      to.bool(true)
      to.token('</NormalizeComponent>')
      return
    case 'sum of groups':
      to.token('<SumGroupComponent>')
      to.token('<Sizes>')
      to.int32Vector(new Array<number>(component.groups).fill(component.width))
      to.token('</SumGroupComponent>')
  }
}

/** Nonlinearities carry statistics of their training; here they are empty. */
function writeNonlinear(to: BinaryWriter, type: string, size: number): void {
  to.token(`<${type}>`)
  to.token('<Dim>')
  to.int32(size)
  for (const [name, kind] of [
    ['<ValueAvg>', 'vector'],
    ['<DerivAvg>', 'vector'],
    ['<Count>', 'number'],
    ['<OderivRms>', 'vector'],
    ['<OderivCount>', 'number'],
    ['<NumDimsSelfRepaired>', 'number'],
    ['<NumDimsProcessed>', 'number'],
  ] as const) {
    to.token(name)
    if (kind === 'vector') to.floatVector([])
    else to.double(0)
  }
  to.token(`</${type}>`)
}
