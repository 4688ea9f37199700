"""Leaves out recordings of single words that are cut or mislabelled: whose best path for the transcript is much worse than the
best outputs.

    python3 sift.py WEIGHTS.pt --corpus REAL.npz --lexicon A.dict B.dict --sets words ... --out FILE.npz
"""
import argparse

import numpy as np
import torch

import corpus
import graphs
from lexicon import read_lexicon
from network import load
from pieces import APART, alignments


def doubtful(network, voices, lexicon, sets, device):
    """Whether each recording of `sets` is hardly what its transcript says."""
    found = np.zeros(len(voices), bool)
    for i, (states, doubts) in enumerate(alignments(network, voices, device)):
        if voices.names[i].split()[0] in sets:
            spoken = graphs.word_of_states(voices.words[i].split(), lexicon)[states] >= 0
            found[i] = not spoken.any() or doubts[spoken].mean() > APART
    return found


if __name__ == '__main__':
    parser = argparse.ArgumentParser()
    parser.add_argument('weights')
    parser.add_argument('--corpus', required=True)
    parser.add_argument('--lexicon', nargs='+', required=True)
    parser.add_argument('--sets', nargs='+', required=True)
    parser.add_argument('--out', required=True)
    options = parser.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    voices = corpus.Corpus([options.corpus], device)
    left_out = doubtful(load([options.weights], device), voices, read_lexicon(*options.lexicon), options.sets, device)
    mine = np.array([name.split()[0] in options.sets for name in voices.names])
    print(f'{left_out.sum()} of {mine.sum()} left out')
    corpus.save(options.out, [voices.utterance(i) for i in np.flatnonzero(~left_out)])
