"""Turns an export back into weights to go on from: the reverse of export.py.

    python3 restore.py FOLDER WEIGHTS.pt

Normalisations were folded into the layers around them, so they come back as identities; `settle` gives them the means and
variances of what they see, so that training begins with the function that was exported. The second head, which is not
exported, starts as a copy of the first.
"""
import json
import os
import sys

import numpy as np
import torch
from torch import nn

from network import BLOCKS, INPUT, MEAN, SCALE, Network


def read(folder):
    """{node's name: (matrix, bias)} of an export."""
    with open(os.path.join(folder, 'network.json'), encoding='utf-8') as file:
        nodes = [node for node in json.load(file)['nodes'] if node['kind'] == 'affine']
    data = np.fromfile(os.path.join(folder, 'network.bin'), np.uint8)
    matrices, at = [], 0
    for node in nodes:
        size = node['rows'] * node['columns']
        steps = data[at:at + 2 * size].view('<u2').astype(np.float64).reshape(node['rows'], node['columns'])
        matrices.append(torch.tensor(steps / 65535 * node['range'] + node['least'], dtype=torch.float32))
        at += 2 * size
    at += -at % 4
    found = {}
    for node, matrix in zip(nodes, matrices):
        found[node['name']] = matrix, torch.from_numpy(data[at:at + 4 * node['rows']].view('<f4').copy())
        at += 4 * node['rows']
    return found


def put(layer, matrix):
    """Sets the weights of a convolution; columns are tap by tap."""
    out, inner, taps = layer.weight.shape
    layer.weight.data = matrix.reshape(out, taps, inner).permute(0, 2, 1).contiguous()


def normed(norm, bias):
    nn.init.ones_(norm.weight)
    nn.init.zeros_(norm.running_mean)
    norm.running_var.fill_(1 - norm.eps)
    norm.bias.data = bias.clone()


def network_of(folder):
    found = read(folder)
    sizes = [found[name][0].shape[0] for name in ('input.affine', 'b1.squeeze', 'head.affine')]
    network = Network(*sizes)
    with torch.no_grad():
        matrix, bias = found['input.affine']
        put(network.input, matrix / SCALE)
        normed(network.input_norm, bias + MEAN * matrix.sum(1))
        for index, block in enumerate(network.blocks, 1):
            put(block.squeeze, found[f'b{index}.squeeze'][0])
            matrix, bias = found[f'b{index}.expand']
            put(block.expand, matrix)
            normed(block.norm, bias)
        for squeeze, norm, out in (network.head, network.aside):
            matrix, bias = found['head.affine']
            put(squeeze, matrix)
            normed(norm, bias)
            put(out, found['scores'][0])
            out.bias.data = found['scores'][1].clone()
    return network.eval()


def settle(network, batches):
    """Gives every normalisation the statistics of its input over `batches` of features, the function unchanged."""
    norms = [module for module in network.modules() if isinstance(module, nn.BatchNorm1d)]
    sums = {norm: torch.zeros(3, norm.num_features, dtype=torch.float64) for norm in norms}

    def watch(norm, inputs, _output):
        x = inputs[0].double()
        sums[norm] += torch.stack([torch.full((x.shape[1],), x.shape[0] * x.shape[2], device=x.device, dtype=torch.float64),
                                   x.sum((0, 2)), x.square().sum((0, 2))]).cpu()
    hooks = [norm.register_forward_hook(watch) for norm in norms]
    with torch.no_grad():
        network.eval()
        for features in batches:
            network(features)
        for norm, hook in zip(norms, hooks):
            hook.remove()
            count, total, squares = sums[norm].to(norm.weight.device)
            mean = total / count
            var = (squares / count - mean.square()).clamp_min(1e-6)
            scale = norm.weight.double() / (norm.running_var.double() + norm.eps).sqrt()
            norm.bias.data = (norm.bias.double() + (mean - norm.running_mean.double()) * scale).float()
            norm.weight.data = (scale * (var + norm.eps).sqrt()).float()
            norm.running_mean.copy_(mean)
            norm.running_var.copy_(var)


if __name__ == '__main__':
    torch.save(network_of(sys.argv[1]).state_dict(), sys.argv[2])
