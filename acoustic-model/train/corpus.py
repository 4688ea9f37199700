"""A corpus: audio as 16-bit integers in one array, and a numerator graph for every utterance."""
import json

import numpy as np
import torch

from features import RATE
from phones import SILENCE

KEYS = ('phone', 'before', 'after', 'flags', 'first', 'last')


def save(path, utterances):
    """utterances: (audio, graph arrays, set name, words)."""
    audio, graph, names, words = zip(*utterances)
    arrays = {key: np.concatenate([g[k] for g in graph]) for k, key in enumerate(KEYS)}
    np.savez(path, audio=np.concatenate(audio), samples=np.array([len(a) for a in audio]),
             states=np.array([len(g[0]) for g in graph]), about=json.dumps([names, words]), **arrays)


class Corpus:
    """Utterances of several files, on a device."""

    def __init__(self, paths, device):
        files = [np.load(path) for path in paths]
        self.device = device
        self.audio = torch.cat([torch.from_numpy(file['audio']) for file in files]).to(device)
        self.samples = np.concatenate([file['samples'] for file in files])
        self.states = np.concatenate([file['states'] for file in files])
        self.offset = np.concatenate([[0], np.cumsum(self.samples)[:-1]])
        self.state = np.concatenate([[0], np.cumsum(self.states)[:-1]])
        about = [json.loads(str(file['about'])) for file in files]
        self.names = [name for names, _ in about for name in names]
        self.words = [words for _, texts in about for words in texts]
        raw = {key: np.concatenate([file[key] for file in files]) for key in KEYS}
        self.phones = raw['phone']
        self.starts = raw['flags']
        self.after = raw['after']
        self.arrays = {key: torch.from_numpy(value).to(device) for key, value in raw.items()}

    def __len__(self):
        return len(self.samples)

    def seconds(self):
        return self.samples / RATE

    def recording(self, index):
        begin = self.offset[index]
        return self.audio[begin:begin + self.samples[index]]

    def utterance(self, index):
        """As `save` takes it."""
        begin = self.state[index]
        graph = tuple(self.arrays[key][begin:begin + self.states[index]].cpu().numpy() for key in KEYS)
        return self.recording(index).cpu().numpy(), graph, self.names[index], self.words[index]

    def graphs(self, which, speed, lead):
        """Padded graphs of utterances `which` (array), played at `speed` from `lead` seconds on: what objective.py reads."""
        states = torch.from_numpy(self.states[which]).to(self.device)
        offset = torch.from_numpy(self.state[which]).to(self.device)
        widest = int(self.states[which].max())
        index = (offset[:, None] + torch.arange(widest, device=self.device)[None]).clamp(max=len(self.arrays['phone']) - 1)
        graph = {key: value[index] for key, value in self.arrays.items()}
        for key in ('first', 'last'):
            time = graph[key].float() * 0.01 / speed[:, None] + lead[:, None]
            graph[key] = (time / 0.03).floor().int().contiguous()
        graph['count'] = states.int()
        absent = torch.arange(widest, device=self.device)[None] >= states[:, None]
        graph['flags'] = graph['flags'].masked_fill(absent, 0)
        return {key: value.contiguous() for key, value in graph.items()}

    def one_path(self, index, rng):
        """The phones along one random path through an utterance's graph."""
        begin, count = self.state[index], self.states[index]
        phone, after, flags = (a[begin:begin + count] for a in (self.phones, self.after, self.starts))
        starts = np.flatnonzero(flags & 1)
        state, path = rng.choice(starts), []
        while True:
            path.append(int(phone[state]))
            ways = after[state][after[state] >= 0]
            if flags[state] & 2 and (len(ways) == 0 or rng.random() < 0.5):
                return path
            # silence between words is rarer than none
            weights = np.where(phone[ways] == SILENCE, 0.2, 1.0)
            state = rng.choice(ways, p=weights / weights.sum())
