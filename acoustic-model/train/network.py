"""The acoustic network: a factorised time-delay network with residual links, evaluated every third frame."""
import torch
from torch import nn
from torch.nn import functional

from features import MELS
from phones import OUTPUTS

SUBSAMPLING = 3
# Offsets of the two halves of each block, in frames: (bottleneck's inputs, expansion's inputs). The first block runs at
# every frame; the second one's expansion and all after it at every third. Little context to the right: it is delay.
BLOCKS = [((-1, 0), (0, 1)), ((-1, 0), (0, 1))] + [((-3, 0), (0, 3))] * 3 + [((-3, 0), (-3, 0))] * 6
INPUT = (-2, -1, 0, 1, 2)
RIGHT = INPUT[-1] + sum(max(a) + max(b) for a, b in BLOCKS)
LEFT = -(INPUT[0] + sum(min(a) + min(b) for a, b in BLOCKS))
# Constant shift and scale of the features, so that the first layer sees values near unit size.
MEAN, SCALE = 10.0, 0.25


class Block(nn.Module):
    def __init__(self, size, bottleneck, first, second, stride_in, stride_out):
        super().__init__()
        self.spread = (abs(first[0] + first[1]) // stride_in, abs(second[0] + second[1]) // stride_in)
        self.before = -(min(first) + min(second)) // stride_in
        self.after = (max(first) + max(second)) // stride_in
        self.step = stride_out // stride_in
        self.squeeze = nn.Conv1d(size, bottleneck, 2, dilation=self.spread[0], bias=False)
        self.expand = nn.Conv1d(bottleneck, size, 2, dilation=self.spread[1], stride=self.step, bias=False)
        self.norm = nn.BatchNorm1d(size)

    def forward(self, x, dropout):
        y = functional.relu(self.norm(self.expand(self.squeeze(x))))
        if self.training and dropout > 0:
            # one mask for the whole utterance: a unit is away for all of it
            keep = 1 + dropout * (2 * torch.rand(y.shape[0], y.shape[1], 1, device=y.device, dtype=y.dtype) - 1) * 2
            y = y * keep
        return y + x[:, :, self.before:x.shape[2] - self.after:self.step]


class Network(nn.Module):
    def __init__(self, size=512, bottleneck=112, head=160):
        super().__init__()
        self.input = nn.Conv1d(MELS, size, len(INPUT), bias=False)
        self.input_norm = nn.BatchNorm1d(size)
        self.blocks = nn.ModuleList()
        for index, (first, second) in enumerate(BLOCKS):
            stride_in = 1 if index < 2 else SUBSAMPLING
            stride_out = 1 if index < 1 else SUBSAMPLING
            self.blocks.append(Block(size, bottleneck, first, second, stride_in, stride_out))
        self.head = nn.ModuleList([nn.Conv1d(size, head, 1, bias=False), nn.BatchNorm1d(head), nn.Conv1d(head, OUTPUTS, 1)])
        self.aside = nn.ModuleList([nn.Conv1d(size, head, 1, bias=False), nn.BatchNorm1d(head), nn.Conv1d(head, OUTPUTS, 1)])

    def forward(self, features, dropout=0.0):
        """Scores [batch, ceil(frames / 3), OUTPUTS] of features [batch, frames, MELS], and those of a second head that
        only training uses (cross-entropy keeps the network from fitting the sequence objective too closely)."""
        x = (features.transpose(1, 2) - MEAN) * SCALE
        x = functional.pad(x, (LEFT, RIGHT), mode='replicate')
        x = functional.relu(self.input_norm(self.input(x)))
        for block in self.blocks:
            x = block(x, dropout)
        scores = []
        for squeeze, norm, out in (self.head, self.aside):
            scores.append(out(functional.relu(norm(squeeze(x)))).transpose(1, 2))
        return scores[0], scores[1]


def load(paths, device='cpu'):
    """The network with the weights that train.py left, of the size they have: of several runs from one start, their mean."""
    states = [torch.load(path, map_location=device) for path in paths]
    sizes = [states[0][key].shape[0] for key in ('input.weight', 'blocks.0.squeeze.weight', 'head.0.weight')]
    network = Network(*sizes).to(device)
    network.load_state_dict({key: torch.stack([state[key].float() for state in states]).mean(0) for key in states[0]})
    return network.eval()
