"""Trains the network. Corpora by prepare.py; see README.md.

    python3 train.py --train A.npz ... --noise NOISE.npz --held-out B.npz ... --held-out-noise N.npz --steps N --out DIR

A run may be cut in parts: --seconds ends one early and leaves DIR/state.pt, with which --resume goes on.
"""
import argparse
import copy
import json
import math
import os
import time

import numpy as np
import torch
from torch.nn import functional

import noise
import objective
import restore
import rooms
from augment import Augmenter, mask_features, power, resample_place
from corpus import Corpus
from evaluate import Evaluation
from features import LENGTH, SHIFT, fbank, mel_weights
from network import SUBSAMPLING, Network

# Lengths of the windows, in output frames of 30 ms.
WINDOWS = [33, 48, 64, 86, 115, 150, 200, 270, 370, 550]
# Share of the training time of each set; synthetic sets by synthesiser. Within a set a voice has a share that goes with the
# square root of its time, so that few long readers do not make up most of it.
SHARES = {'an4': 0.07, 'librispeech_devclean_half': 0.12, 'mini_librispeech': 0.14, 'speechocean762': 0.12, 'words': 0.20,
          'pieces': 0.18, 'phone_numbers': 0.02, 'dspspeech': 0.01, 'speechcommands': 0.02, 'flite': 0.10, 'espeak': 0.09,
          'noise': 0.02}
# Spread (logarithm) of the vocal tract's length.
WARP = 0.11


def samples_of(window):
    return LENGTH + SHIFT * (SUBSAMPLING * window - 1)


class Batches:
    """Random batches: each of one window length, of about `frames` output frames."""

    def __init__(self, corpus, frames, rng):
        self.corpus, self.frames, self.rng = corpus, frames, rng
        seconds = corpus.seconds()
        sets = np.array([name.split()[0] for name in corpus.names])
        voices, voice = np.unique(corpus.names, return_inverse=True)
        by_voice = seconds / np.sqrt(np.bincount(voice, seconds, len(voices)))[voice]
        weight = np.zeros(len(corpus))
        for name, share in SHARES.items():
            mine = sets == name
            if mine.any():
                weight[mine] = share * by_voice[mine] / by_voice[mine].sum()
        lengths = np.array([samples_of(w) / 16000 for w in WINDOWS])
        need = seconds + 0.15
        home = np.searchsorted(lengths, need)
        self.choices = []
        mass = []
        for k in range(len(WINDOWS)):
            share = np.where(home == k, 0.75, 0) + np.where(home == k - 1, 0.25, 0)
            which = np.flatnonzero(share * weight)
            p = (share * weight)[which]
            self.choices.append((which, p / p.sum() if len(p) else p))
            mass.append(p.sum())
        self.mass = np.array(mass) / np.sum(mass)

    def draw(self, slowest, fastest):
        """(indices, speeds, leads in samples, window), speeds between the limits as far as the window allows."""
        k = self.rng.choice(len(WINDOWS), p=self.mass)
        which, p = self.choices[k]
        batch = max(8, min(512, self.frames // WINDOWS[k]))
        picked = self.rng.choice(which, batch, p=p)
        room = samples_of(WINDOWS[k])
        length = self.corpus.samples[picked]
        speed = np.exp(self.rng.uniform(math.log(slowest), math.log(fastest), batch))
        speed = np.maximum(speed, length / (room - 800))
        free = room - length / speed
        return picked, speed, self.rng.uniform(0, 1, batch) * free, WINDOWS[k]


class Training:
    def __init__(self, options):
        self.options = options
        device = self.device = 'cuda' if torch.cuda.is_available() else 'cpu'
        torch.manual_seed(options.seed)
        self.rng = np.random.default_rng(options.seed)
        self.corpus = Corpus(options.train + [options.noise], device)
        recorded = Corpus([options.noise], device).audio.float()
        small = device == 'cpu'
        begun = time.time()
        synthetic = noise.bank(2 if small else 16, 20, options.seed, device)
        responses = rooms.responses(20 if small else 1500, 0.35, options.seed, device)
        print(f'{len(self.corpus)} utterances, {self.corpus.seconds().sum() / 3600:.1f} h, noises and rooms made in '
              f'{time.time() - begun:.0f} s', flush=True)
        self.augment = Augmenter(synthetic, self.normal(recorded), responses, device)
        self.batches = Batches(self.corpus, options.frames, self.rng)
        self.denominator = self.make_denominator()
        self.network = Network(options.size, options.bottleneck).to(device)
        if options.init and os.path.isdir(options.init):
            self.network = restore.network_of(options.init).to(device)
            restore.settle(self.network, (self.batch(1)[0] for _ in range(2 if small else 40)))
        elif options.init:
            self.network.load_state_dict({k: v.float() if v.is_floating_point() else v
                                          for k, v in torch.load(options.init, map_location=device).items()})
        self.average = copy.deepcopy(self.network).eval()
        self.evaluation = Evaluation(options.held_out, options.held_out_noise, device) if options.held_out else None

    def normal(self, audio):
        """Each piece of 2 s at unit power, so that quiet recordings count as much as loud ones."""
        size = 32000
        audio = audio[:len(audio) // size * size].view(-1, size)
        return (audio / power(audio).sqrt().clamp_min(1)).flatten()

    def make_denominator(self):
        weight = np.zeros(len(self.corpus))
        for which, p in self.batches.choices:
            weight[which] += p
        count = min(len(self.corpus), 30000)
        picked = self.rng.choice(len(self.corpus), count, p=weight / weight.sum())
        paths = [self.corpus.one_path(i, self.rng) for i in picked]
        trigram = objective.phone_trigram(paths, np.ones(count))
        return objective.Denominator(trigram, self.device) if self.device == 'cuda' else torch.from_numpy(trigram)

    def tensor(self, x):
        return torch.as_tensor(x, dtype=torch.float32).to(self.device, non_blocking=True)

    def batch(self, progress):
        """(features, graphs): harder as training goes on."""
        hard = min(1.0, progress / 0.1)
        spread = 0.06 + 0.14 * hard
        picked, speed, lead, window = self.batches.draw(1 - spread, 1 + 1.25 * spread)
        size = samples_of(window)
        rate, start = self.tensor(speed), self.tensor(lead)
        offset = torch.from_numpy(self.corpus.offset[picked]).to(self.device)
        length = torch.from_numpy(self.corpus.samples[picked]).to(self.device)
        speech = resample_place(self.corpus.audio, offset, length, rate, start, size)
        t = torch.arange(size, device=self.device)[None]
        mask = ((t >= start[:, None]) & (t < (start + length / rate)[:, None])).float()
        audio = self.augment(speech, mask, self.babble(len(picked), size), 0.3 + 0.6 * hard, 24 - 13 * hard, 8.0)
        warp = torch.exp(WARP * hard * torch.randn(len(picked), device=self.device)).clamp(0.8, 1.25)
        features = fbank(audio, mel_weights(warp))
        if progress > 0.1:
            features = mask_features(features)
        return features, self.corpus.graphs(picked, rate, start / 16000)

    def babble(self, batch, size):
        """Voices of the corpus over one another: one to six, the first the loudest."""
        out = torch.zeros(batch, size, device=self.device)
        for talker in range(6):
            voice = self.augment.cut(self.corpus.audio, batch, size)
            voice = voice / power(voice).sqrt().clamp_min(1)
            heard = torch.rand(batch, 1, device=self.device) < (1.0 if talker == 0 else 0.75)
            out += voice * heard * 10 ** (-torch.rand(batch, 1, device=self.device) * 0.6)
        return out

    def loss(self, features, graph):
        with torch.autocast(self.device, dtype=torch.bfloat16, enabled=self.device == 'cuda'):
            scores, aside = self.network(features, self.options.dropout)
        scores, aside = scores.float(), aside.float()
        time_frames = scores.shape[0] * scores.shape[1]
        if self.device == 'cuda':
            value, occupancy, good = objective.Mmi.apply(scores, graph, self.denominator)
            beside = -(occupancy * functional.log_softmax(aside, 2)).sum(2)
            beside = torch.where(good[:, None], beside, torch.zeros_like(beside)).sum() / time_frames
            lost = 1 - good.float().mean()
        else:
            value = (objective.numerator_reference(scores, graph)
                     - objective.denominator_reference(scores, self.denominator)).sum() / time_frames
            beside, lost = aside.square().mean() * 0, torch.zeros(())
        size = scores.square().sum(2).mean()
        return -value + 0.1 * beside + 5e-5 * size, value.detach(), beside.detach(), lost

    def run(self):
        options = self.options
        optimiser = torch.optim.AdamW(self.network.parameters(), lr=options.rate, weight_decay=options.decay, betas=(0.9, 0.98))
        begun, log, first = time.time(), [], 0
        running = torch.zeros(3, device=self.device)
        if options.resume:
            first, log, running = self.restore(options.resume, optimiser)
        elif options.init and self.evaluation:
            self.judge(log, 0, begun)
        for step in range(first, options.steps):
            if options.seconds and time.time() - begun > options.seconds:
                return self.store(optimiser, step, log, running)
            progress = max(options.progress, step / options.steps)
            rate = options.rate * min(1, (step + 1) / 400) * (0.5 * (1 + math.cos(math.pi * step / options.steps)) + 0.002)
            for group in optimiser.param_groups:
                group['lr'] = rate
            self.network.train()
            features, graph = self.batch(progress)
            loss, value, beside, lost = self.loss(features, graph)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(self.network.parameters(), 5.0)
            optimiser.step()
            self.follow(min(0.999, (step + 1) / (step + 30)))
            running = 0.98 * running + 0.02 * torch.stack([value, beside, lost.to(value.device)])
            if (step + 1) % options.report == 0:
                mmi, entropy, gone = running.tolist()
                log.append({'step': step + 1, 'seconds': round(time.time() - begun, 1), 'mmi': mmi, 'entropy': entropy})
                print(f'{time.time() - begun:6.0f} s step {step + 1} mmi {mmi:.4f} entropy {entropy:.3f} lost {gone:.4f} '
                      f'rate {rate:.1e}', flush=True)
            if (step + 1) % options.evaluate == 0 or step + 1 == options.steps:
                if self.evaluation:
                    self.judge(log, step + 1, begun)
                self.keep(log, step + 1)

    def judge(self, log, step, begun):
        result = self.evaluation.run(self.average, self.denominator)
        log.append({'step': step, 'right': result})
        print(f'{time.time() - begun:6.0f} s', self.evaluation.table(result), flush=True)

    def follow(self, share):
        """The average follows the network."""
        with torch.no_grad():
            for mine, new in zip(self.average.state_dict().values(), self.network.state_dict().values()):
                if mine.is_floating_point():
                    mine.lerp_(new, 1 - share)
                else:
                    mine.copy_(new)

    def store(self, optimiser, step, log, running):
        """Everything to go on from."""
        os.makedirs(self.options.out, exist_ok=True)
        torch.save({'network': self.network.state_dict(), 'average': self.average.state_dict(),
                    'optimiser': optimiser.state_dict(), 'step': step, 'log': log, 'running': running},
                   os.path.join(self.options.out, 'state.pt'))
        print(f'stored at step {step}', flush=True)

    def restore(self, path, optimiser):
        state = torch.load(path, map_location=self.device, weights_only=False)
        self.network.load_state_dict(state['network'])
        self.average.load_state_dict(state['average'])
        optimiser.load_state_dict(state['optimiser'])
        # other chance than in the part before
        torch.manual_seed(self.options.seed + state['step'])
        self.rng = self.batches.rng = np.random.default_rng(self.options.seed + state['step'])
        return state['step'], state['log'], state['running']

    def keep(self, log, step):
        os.makedirs(self.options.out, exist_ok=True)
        half = {k: v.half() if v.is_floating_point() and v.dim() > 1 else v for k, v in self.average.state_dict().items()}
        torch.save(half, os.path.join(self.options.out, f'network-{step}.pt'))
        with open(os.path.join(self.options.out, 'log.json'), 'w', encoding='utf-8') as file:
            json.dump(log, file)


if __name__ == '__main__':
    parser = argparse.ArgumentParser()
    parser.add_argument('--train', nargs='+', required=True)
    parser.add_argument('--noise', required=True)
    parser.add_argument('--held-out', nargs='*', default=[])
    parser.add_argument('--held-out-noise')
    parser.add_argument('--init', help='weights to go on from, or the folder of an export')
    parser.add_argument('--progress', type=float, default=0.0, help='start of the schedule of difficulty')
    parser.add_argument('--resume', help='state.pt of a run that was cut')
    parser.add_argument('--seconds', type=float, help='end after so long and leave a state.pt')
    parser.add_argument('--steps', type=int, required=True)
    parser.add_argument('--frames', type=int, default=16000, help='output frames in a batch')
    parser.add_argument('--size', type=int, default=512)
    parser.add_argument('--bottleneck', type=int, default=112)
    parser.add_argument('--rate', type=float, default=2e-3)
    parser.add_argument('--decay', type=float, default=0.05)
    parser.add_argument('--dropout', type=float, default=0.15)
    parser.add_argument('--report', type=int, default=200)
    parser.add_argument('--evaluate', type=int, default=3000)
    parser.add_argument('--seed', type=int, default=2026)
    parser.add_argument('--out', required=True)
    Training(parser.parse_args()).run()
