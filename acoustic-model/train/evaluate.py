"""How often the right transcript beats others of its set, by held-out set and noise: a quick stand-in for recognition, on the
GPU, while training goes on."""
import numpy as np
import torch

import noise
import objective
from augment import power, resample_place
from corpus import Corpus
from features import LENGTH, SHIFT, fbank, mel_weights
from network import SUBSAMPLING

CANDIDATES = 50
UTTERANCES = 160
WINDOW = 170  # output frames
RATIOS = (None, 9, 3, -3)


class Evaluation:
    def __init__(self, paths, noise_path, device):
        self.device = device
        self.corpus = Corpus(paths, device)
        rng = np.random.default_rng(7)
        generator = torch.Generator(device=device).manual_seed(7)
        seconds = self.corpus.seconds()
        size = LENGTH + SHIFT * (SUBSAMPLING * WINDOW - 1)
        sets = np.array([name.split()[0] for name in self.corpus.names])
        recorded = Corpus([noise_path], device).audio.float()
        kitchen = torch.cat([recorded / recorded.std(), noise.bank(1, 20, 77, device)])
        self.tests = []
        for name in sorted(set(sets)):
            usable = np.flatnonzero((sets == name) & (seconds < 4.6) & (self.corpus.states < 250))
            if len({self.corpus.words[i] for i in usable}) < 20:
                continue
            picked = rng.permutation(usable)[:UTTERANCES if device == 'cuda' else 6]
            texts = [self.corpus.words[i] for i in usable]
            rivals = np.zeros((len(picked), CANDIDATES), int)
            for row, right in enumerate(picked):
                others = [i for i, text in zip(usable, texts) if text != self.corpus.words[right]]
                rivals[row] = [right, *rng.choice(others, CANDIDATES - 1)]
            offset = torch.from_numpy(self.corpus.offset[picked]).to(device)
            length = torch.from_numpy(self.corpus.samples[picked]).to(device)
            ones = torch.ones(len(picked), device=device)
            speech = resample_place(self.corpus.audio, offset, length, ones, ones * 3200, size)
            t = torch.arange(size, device=device)[None]
            mask = ((t >= 3200) & (t < 3200 + length[:, None])).float()
            at = torch.randint(0, len(kitchen) - size, (len(picked), 1), generator=generator, device=device)
            din = kitchen[at + torch.arange(size, device=device)[None]]
            din = din / power(din).sqrt().clamp_min(1e-3) * power(speech, mask).sqrt()
            self.tests.append((name, rivals, speech, din))

    def run(self, network, denominator):
        """{set: [share right at each of RATIOS, then the objective at 9 dB]}"""
        result = {}
        with torch.no_grad():
            for name, rivals, speech, din in self.tests:
                result[name] = []
                for ratio in RATIOS:
                    audio = speech if ratio is None else speech + din * 10 ** (-ratio / 20)
                    features = fbank(audio, mel_weights(torch.ones(len(audio), device=self.device)))
                    scores = network(features)[0].float()
                    right = [self.best(scores[row:row + 8], rivals[row:row + 8]) for row in range(0, len(rivals), 8)]
                    result[name].append(float(torch.cat(right).float().mean()))
                    if ratio == 9 and self.device == 'cuda':
                        objective_there = self.objective(scores, rivals[:, 0], denominator)
                result[name].append(objective_there if self.device == 'cuda' else 0.0)
        return result

    def objective(self, scores, which, denominator):
        ones = torch.ones(len(which), device=self.device)
        with_text = objective.numerator(scores, self.corpus.graphs(which, ones, ones * 0.2), occupancies=False)[0]
        return float((with_text - denominator(scores, occupancies=False)[0]).mean() / scores.shape[1])

    def best(self, scores, rivals):
        which = rivals.flatten()
        ones = torch.ones(len(which), device=self.device)
        graph = self.corpus.graphs(which, ones, ones * 0.2)
        spread = scores.repeat_interleave(CANDIDATES, 0)
        if self.device == 'cuda':
            total = objective.numerator(spread, graph, occupancies=False)[0]
        else:
            total = objective.numerator_reference(spread, graph)
        return total.view(-1, CANDIDATES).argmax(1) == 0

    def table(self, result):
        rows = ['  '.join(f'{100 * share:5.1f}' for share in shares) + f'  {mmi:.4f}  {name}'
                for name, (*shares, mmi) in result.items()]
        return 'right % clean, 9, 3, -3 dB; objective at 9 dB\n' + '\n'.join(rows)
