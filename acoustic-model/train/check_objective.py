"""Compares the CUDA sums and occupancies of objective.py with their definition in double precision, and times them. Needs a
GPU: python3 check_objective.py LEXICON..."""
import random
import sys
import time

import numpy as np
import torch

import graphs
import objective
from corpus import KEYS
from lexicon import read_lexicon
from phones import OUTPUTS, PHONES


def random_graphs(lexicon, batch, seed):
    rng = random.Random(seed)
    words = sorted(word for word in lexicon if len(word) < 8)
    made = []
    for row in range(batch):
        if row % 3 == 0:
            ends = sorted(rng.uniform(0.1, 2.4) for _ in range(6))
            names = ['pau', 's', 't', 'aa', 'p', 'pau']
            made.append(graphs.from_alignment(list(zip(names, ends))))
        else:
            made.append(graphs.from_words(rng.choices(words, k=rng.randint(0, 5)), lexicon))
    widest = max(len(g[0]) for g in made)
    out = {}
    for k, key in enumerate(KEYS):
        fill = np.zeros((batch, widest) + made[0][k].shape[1:], made[0][k].dtype)
        for row, g in enumerate(made):
            fill[row, :len(g[k])] = g[k]
        out[key] = fill
    out['first'] = np.floor(out['first'] / 3).astype(np.int32)
    out['last'] = np.floor(out['last'] / 3).astype(np.int32)
    out['count'] = np.array([len(g[0]) for g in made], np.int32)
    return {key: torch.from_numpy(value).cuda() for key, value in out.items()}


def apart(a, b):
    return float((a - b).norm() / b.norm())


if __name__ == '__main__':
    lexicon = read_lexicon(*sys.argv[1:])
    batch, frames = 24, 90
    graph = random_graphs(lexicon, batch, 3)
    rng = np.random.default_rng(1)
    sequences = [[0, *rng.integers(0, len(PHONES), 9), 0] for _ in range(3000)]
    trigram = objective.phone_trigram(sequences, np.ones(3000))
    scores = torch.randn(batch, frames, OUTPUTS, device='cuda', generator=torch.Generator('cuda').manual_seed(5)) * 3
    exact = scores.double().requires_grad_()
    total = objective.numerator_reference(exact, graph)
    feasible = total > objective.NONE / 2
    total[feasible].sum().backward()
    mine, occupancy = objective.numerator(scores, graph)
    torch.cuda.synchronize()
    print('feasible', int(feasible.sum()), 'of', batch)
    print('numerator: sums apart', apart(mine[feasible], total[feasible].float()), 'occupancies apart',
          apart(occupancy[feasible], exact.grad[feasible].float()), 'a frame sums to',
          float(occupancy[feasible].sum(2).min()), float(occupancy[feasible].sum(2).max()))
    exact = scores.double().requires_grad_()
    total = objective.denominator_reference(exact, torch.from_numpy(trigram).cuda().double())
    total.sum().backward()
    denominator = objective.Denominator(trigram, 'cuda')
    mine, occupancy = denominator(scores)
    print('denominator: sums apart', apart(mine, total.float()), 'occupancies apart', apart(occupancy, exact.grad.float()))
    states, gains = objective.best_path(scores, graph)
    greatest = objective.numerator_reference(scores.double() * 200, graph) / 200
    print('best path: sums apart', apart(gains.sum(1)[feasible], greatest[feasible].float()))
    scores = torch.randn(128, 133, OUTPUTS, device='cuda') * 3
    graph = random_graphs(lexicon, 128, 4)
    for name, call in (('numerator', lambda: objective.numerator(scores, graph)), ('denominator', lambda: denominator(scores))):
        call()
        torch.cuda.synchronize()
        begun = time.time()
        for _ in range(10):
            call()
        torch.cuda.synchronize()
        print(name, f'{(time.time() - begun) * 100:.2f} ms a batch of 128 x 133')
