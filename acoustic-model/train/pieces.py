"""Cuts recordings of sentences into pieces of one to four words: real speech as short as a command.

    python3 pieces.py WEIGHTS.pt --corpus REAL.npz --lexicon A.dict B.dict --seed S --out FILE.npz

A network trained before tells the times of the words. Cuts lie where two words are apart: in silence, or where the sound is
much weaker than both words (which also is where a stop is closed).
"""
import argparse

import numpy as np
import torch

import corpus
import graphs
import objective
from features import LENGTH, RATE, SHIFT, fbank, mel_weights
from lexicon import read_lexicon
from network import SUBSAMPLING, load

FRAME = SUBSAMPLING * SHIFT  # samples an output frame
LONGEST = 4  # words
LENGTHS = [0.4, 0.3, 0.2, 0.1]  # how often each number of words is tried
PAUSE = 4  # output frames of silence that are surely one: the network likes to put one or two between any words
DROP = 12  # dB by which a cut without a pause is below the weaker of its words
APART = 1.5  # a frame: a word whose outputs are so much below the best ones is not what was said
SHORTEST = 0.2  # seconds
FADE = RATE // 125
ROOM = 4000  # samples of silence put around a recording before it is aligned, as training has it
BATCH = 32


def alignments(network, voices, device):
    """For every recording (states, doubts): the state of its graph in each output frame, counted from the recording's
    begin, and by how much the best output was better there."""
    found = [None] * len(voices)
    order = np.argsort(voices.samples)
    for begin in range(0, len(order), BATCH):
        which = order[begin:begin + BATCH]
        size = int(voices.samples[which].max()) + 2 * ROOM
        audio = torch.randn(len(which), size, device=device) * 3
        for row, i in enumerate(which):
            audio[row, ROOM:ROOM + voices.samples[i]] += voices.recording(i).float()
        ones = torch.ones(len(which), device=device)
        with torch.no_grad():
            scores = network(fbank(audio, mel_weights(ones)))[0].float()
            states, gains = objective.best_path(scores, voices.graphs(which, ones, ones * (ROOM / RATE)))
            doubts = scores.amax(2) - gains
        for row, i in enumerate(which):
            found[i] = states[row].cpu().numpy(), doubts[row].cpu().numpy()
    return found


class Words:
    """The words of one recording with their times in samples, and where it can be cut between them."""

    def __init__(self, audio, words, place_of_state, states, doubts):
        self.audio = audio.astype(np.float32)
        place = place_of_state[states]
        frames = [np.flatnonzero(place == k) for k in range(len(words))]
        self.begins = [self.sample(f[0]) for f in frames]
        self.ends = [self.sample(f[-1] + 1) for f in frames]
        self.sure = [doubts[f].mean() < APART for f in frames]
        # between words k - 1 and k at cuts[k], None where they are not apart
        self.cuts = [0, *(self.cut(k) for k in range(1, len(words))), len(audio)]

    def sample(self, frame):
        return int(np.clip(frame * FRAME - ROOM, 0, len(self.audio)))

    def level(self, begin, end):
        return float(np.square(self.audio[begin:end]).mean()) + 1 if end > begin else 1.0

    def cut(self, k):
        silent = self.begins[k] - self.ends[k - 1] >= PAUSE * FRAME
        around = 0 if silent else FRAME
        low, high = max(0, self.ends[k - 1] - around), min(len(self.audio), self.begins[k] + around)
        places = range(low, max(low + 1, high - LENGTH // 2), 80)
        levels = [self.level(at, at + 160) for at in places]
        at = int(np.argmin(levels))
        weaker = min(self.level(self.begins[j], self.ends[j]) for j in (k - 1, k))
        return places[at] + 80 if silent or levels[at] < weaker * 10 ** (-DROP / 10) else None

    def piece(self, first, last, rng):
        """Words first to last, last not included, with some of the silence around them; None if it cannot be cut out."""
        if self.cuts[first] is None or self.cuts[last] is None or not all(self.sure[first:last]):
            return None
        before, after = (rng.uniform(0.03, 0.3, 2) * RATE).astype(int)
        begin = max(self.cuts[first], self.begins[first] - before)
        end = min(self.cuts[last], self.ends[last - 1] + after)
        if end - begin < SHORTEST * RATE:
            return None
        out = self.audio[begin:end].copy()
        fade = np.linspace(0, 1, FADE, dtype=np.float32)
        out[:FADE] *= fade
        out[-FADE:] *= fade[::-1]
        return np.round(out).astype(np.int16)


def cut(network, voices, lexicon, rng, device):
    """A list of (audio, graph, set name, words)."""
    found = []
    for i, (states, doubts) in enumerate(alignments(network, voices, device)):
        words = voices.words[i].split()
        if len(words) < 2:
            continue
        said = Words(voices.recording(i).cpu().numpy(), words, graphs.word_of_states(words, lexicon), states, doubts)
        for first in range(len(words)):
            last = first + 1 + rng.choice(LONGEST, p=LENGTHS)
            audio = said.piece(first, last, rng) if last <= len(words) else None
            if audio is not None:
                name, text = 'pieces ' + voices.names[i].split()[1], words[first:last]
                found.append((audio, graphs.from_words(text, lexicon), name, ' '.join(text)))
    return found


if __name__ == '__main__':
    parser = argparse.ArgumentParser()
    parser.add_argument('weights')
    parser.add_argument('--corpus', required=True)
    parser.add_argument('--lexicon', nargs='+', required=True)
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--out', required=True)
    options = parser.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    voices = corpus.Corpus([options.corpus], device)
    lexicon, rng = read_lexicon(*options.lexicon), np.random.default_rng(options.seed)
    pieces = cut(load([options.weights], device), voices, lexicon, rng, device)
    print(f'{len(pieces)} pieces, {sum(len(p[0]) for p in pieces) / RATE / 3600:.2f} h, of {len(voices)} recordings')
    corpus.save(options.out, pieces)
