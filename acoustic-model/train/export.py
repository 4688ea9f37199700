"""Writes a trained network as data for the packer: `network.json` (the nodes, with their inputs as nnet3 descriptors) and
`network.bin` (16-bit steps of the matrices, then all biases as 32-bit floats).

    python3 export.py WEIGHTS.pt [MORE.pt ...] FOLDER

Of several runs from one start it writes the mean of their weights.
Batch normalisation and the constant shift of the features fold exactly into the affine layers around them.
"""
import json
import os
import sys

import numpy as np
import torch

from features import MELS, OPTIONS
from network import BLOCKS, INPUT, LEFT, MEAN, RIGHT, SCALE, SUBSAMPLING, load
from phones import PHONES


def folded(weight, norm):
    """[out, in * taps] and bias of a convolution followed by its normalisation; columns are tap by tap."""
    scale = norm.weight / torch.sqrt(norm.running_var + norm.eps)
    return flat(weight) * scale[:, None], norm.bias - norm.running_mean * scale


def flat(weight):
    return weight.permute(0, 2, 1).reshape(weight.shape[0], -1)


def append(name, offsets):
    parts = [name if offset == 0 else f'Offset({name}, {offset})' for offset in offsets]
    return f'Append({", ".join(parts)})' if len(parts) > 1 else parts[0]


def nodes_of(network):
    """[(name, kind, input, size or (matrix, bias))] in the order of computation."""
    nodes = []
    matrix, bias = folded(network.input.weight, network.input_norm)
    bias = bias - MEAN * SCALE * matrix.sum(1)
    nodes.append(('input.affine', 'affine', append('input', INPUT), (matrix * SCALE, bias)))
    nodes.append(('x0', 'rectified', 'input.affine', len(bias)))
    for index, (block, (first, second)) in enumerate(zip(network.blocks, BLOCKS), 1):
        matrix = flat(block.squeeze.weight)
        nodes.append((f'b{index}.squeeze', 'affine', append(f'x{index - 1}', sorted(first)), (matrix, torch.zeros(len(matrix)))))
        matrix, bias = folded(block.expand.weight, block.norm)
        nodes.append((f'b{index}.expand', 'affine', append(f'b{index}.squeeze', sorted(second)), (matrix, bias)))
        nodes.append((f'b{index}.relu', 'rectified', f'b{index}.expand', len(bias)))
        nodes.append((f'x{index}', 'copy', f'Sum(b{index}.relu, x{index - 1})', len(bias)))
    squeeze, norm, out = network.head
    matrix, bias = folded(squeeze.weight, norm)
    nodes.append(('head.affine', 'affine', f'x{len(BLOCKS)}', (matrix, bias)))
    nodes.append(('head.relu', 'rectified', 'head.affine', len(bias)))
    nodes.append(('scores', 'affine', 'head.relu', (flat(out.weight), out.bias)))
    return nodes


def steps_of(matrix):
    matrix = matrix.detach().double().numpy()
    least, greatest = matrix.min(), matrix.max()
    spread = max(greatest - least, 1e-9)
    return np.float32(least), np.float32(spread), np.round((matrix - least) / spread * 65535).astype('<u2')


def export(weights, folder):
    listing, matrices, biases = [], [], []
    for name, kind, source, what in nodes_of(load(weights)):
        node = {'name': name, 'kind': kind, 'input': source}
        if kind == 'affine':
            least, spread, steps = steps_of(what[0])
            node |= {'rows': steps.shape[0], 'columns': steps.shape[1], 'least': float(least), 'range': float(spread)}
            matrices.append(steps)
            biases.append(what[1].detach().numpy().astype('<f4'))
        else:
            node['size'] = what
        listing.append(node)
    os.makedirs(folder, exist_ok=True)
    about = {'phones': PHONES, 'inputSize': MELS, 'leftContext': LEFT, 'rightContext': RIGHT, 'subsampling': SUBSAMPLING,
             'features': OPTIONS, 'output': 'scores', 'nodes': listing}
    with open(os.path.join(folder, 'network.json'), 'w', encoding='utf-8') as file:
        json.dump(about, file, indent=1)
        file.write('\n')
    with open(os.path.join(folder, 'network.bin'), 'wb') as file:
        for steps in matrices:
            file.write(steps.tobytes())
        file.write(b'\0' * (-file.tell() % 4))
        for bias in biases:
            file.write(bias.tobytes())


if __name__ == '__main__':
    export(sys.argv[1:-1], sys.argv[-1])
