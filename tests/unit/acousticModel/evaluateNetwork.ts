import type { ReadComponent, ReadMatrix, ReadNetwork } from './kaldiReader.ts'

/**
 * Computes what an nnet3 network gives, in double precision and frame by frame: the components and descriptors
 * that the project's models use, after their definitions in kaldi-asr/kaldi, src/nnet3.
 *
 * @param features one row a frame; before the first and after the last frame these two go on
 * @returns the output of every `step`-th frame
 */
export function evaluateNetwork(
  network: ReadNetwork,
  features: readonly Float64Array[],
  step = 1,
): Float64Array[] {
  const components = new Map(network.components.map((component) => [component.name, component]))
  const nodes = new Map(network.config.map((line) => [/ name=(\S+)/.exec(line)?.[1] ?? '', line]))
  const done = new Map<string, Float64Array>()

  const nodeAt = (name: string, frame: number): Float64Array => {
    if (name === 'input') {
      const row = features[Math.min(Math.max(frame, 0), features.length - 1)]
      if (row === undefined) throw new Error('no features')
      return row
    }
    const key = `${name} ${frame}`
    const known = done.get(key)
    if (known !== undefined) return known
    const line = nodes.get(name)
    if (line === undefined) throw new Error(`no node ${name}`)
    const value = computeNode(line, frame)
    done.set(key, value)
    return value
  }

  const computeNode = (line: string, frame: number): Float64Array => {
    const field = (name: string): string => new RegExp(` ${name}=(\\S+)`).exec(line)?.[1] ?? ''
    if (line.startsWith('dim-range-node ')) {
      const offset = Number(field('dim-offset'))
      return nodeAt(field('input-node'), frame).subarray(offset, offset + Number(field('dim')))
    }
    const input = / input=(.*?)( objective=\S+)?$/.exec(line)?.[1] ?? ''
    const value = descriptorAt(input, frame)
    if (line.startsWith('output-node ')) return value
    const component = components.get(field('component'))
    if (component === undefined) throw new Error(`no component for: ${line}`)
    return applyComponent(component, value)
  }

  const descriptorAt = (text: string, frame: number): Float64Array => {
    const call = /^(\w+)\((.*)\)$/.exec(text.trim())
    if (call === null) return nodeAt(text.trim(), frame)
    const [, name = '', inside = ''] = call
    const parts = splitArguments(inside)
    switch (name) {
      case 'Append':
        return Float64Array.from(parts.flatMap((part) => [...descriptorAt(part, frame)]))
      case 'Offset':
        return descriptorAt(parts[0] ?? '', frame + Number(parts[1]))
      case 'Sum':
        return parts
          .map((part) => descriptorAt(part, frame))
          .reduce((a, b) => a.map((value, i) => value + (b[i] ?? NaN)))
      case 'Scale':
        return descriptorAt(parts[1] ?? '', frame).map((value) => value * Number(parts[0]))
      default:
        throw new Error(`descriptor ${name} is not known`)
    }
  }

  const frames = Math.ceil(features.length / step)
  return Array.from({ length: frames }, (_, index) => nodeAt('output', index * step))
}

function splitArguments(text: string): string[] {
  const parts: string[] = []
  let depth = 0
  let start = 0
  for (let at = 0; at < text.length; at++) {
    if (text[at] === '(') depth++
    if (text[at] === ')') depth--
    if (text[at] === ',' && depth === 0) {
      parts.push(text.slice(start, at))
      start = at + 1
    }
  }
  return [...parts, text.slice(start)]
}

function applyComponent({ type, values }: ReadComponent, input: Float64Array): Float64Array {
  switch (type) {
    case 'FixedAffineComponent': {
      const { rows, columns, values: weights } = values.get('LinearParams') as ReadMatrix
      const bias = values.get('BiasParams') as Float64Array
      if (columns !== input.length) throw new Error(`affine of ${columns} columns on ${input.length} values`)
      return Float64Array.from({ length: rows }, (_, row) => {
        let sum = bias[row] ?? NaN
        for (let column = 0; column < columns; column++)
          sum += (weights[row * columns + column] ?? NaN) * (input[column] ?? NaN)
        return sum
      })
    }
    case 'ElementwiseProductComponent': {
      const outputs = values.get('OutputDim') as number
      return input.slice(0, outputs).map((value, index) => value * (input[outputs + index] ?? NaN))
    }
    case 'SoftmaxComponent': {
      const most = Math.max(...input)
      const powers = input.map((value) => Math.exp(value - most))
      const sum = powers.reduce((a, b) => a + b, 0)
      return powers.map((value) => value / sum)
    }
    case 'RectifiedLinearComponent':
      return input.map((value) => Math.max(0, value))
    case 'NoOpComponent':
      return input
    case 'NormalizeComponent': {
      // blocks of one: x / (|x| / target), then ln(|x|), the size floored at target * sqrt(2^-66)
      const target = values.get('TargetRms') as number
      const floor = target * Math.sqrt(2 ** -66)
      return Float64Array.from(
        [...input].flatMap((value) => {
          const size = Math.max(Math.abs(value), floor)
          return [(value / size) * target, Math.log(size)]
        }),
      )
    }
    case 'SumGroupComponent': {
      let at = 0
      return Float64Array.from(values.get('Sizes') as number[], (size) => {
        at += size
        return input.subarray(at - size, at).reduce((a, b) => a + b, 0)
      })
    }
    default:
      throw new Error(`component ${type} is not known`)
  }
}
