"""Numerator graphs: every way a transcript may be said, as states with a phone each.

A state is entered by the first-frame output of its phone and left after any number of further frames. Silence is
optional between words. Where the times of the phones are known (a synthesiser tells them), states carry the span
in which they may be visited.
"""
import numpy as np

from phones import SILENCE, from_flite

WAYS = 6  # at most, into and out of a state: VARIANTS pronunciations and silence
START, FINAL = 1, 2
ANY = 32000  # a time bound that binds nothing, in units of 10 ms
TOLERANCE = 5  # slack around a known time, in units of 10 ms


class Graph:
    def __init__(self):
        self.phone, self.before, self.flags, self.first, self.last = [], [], [], [], []

    def add(self, phone, before, start=False, first=-ANY, last=ANY):
        self.phone.append(phone)
        self.before.append(list(before))
        self.flags.append(START if start else 0)
        self.first.append(first)
        self.last.append(last)
        return len(self.phone) - 1

    def arrays(self):
        n = len(self.phone)
        before = np.full((n, WAYS), -1, np.int16)
        after = np.full((n, WAYS), -1, np.int16)
        count = np.zeros(n, int)
        for state, sources in enumerate(self.before):
            for way, source in enumerate(sources):
                before[state, way] = source
                after[source, count[source]] = state
                count[source] += 1
        return (np.array(self.phone, np.uint8), before, after, np.array(self.flags, np.uint8),
                np.array(self.first, np.int16), np.array(self.last, np.int16))


def from_words(words, lexicon):
    """Graph of a transcript. Raises KeyError for a word without a pronunciation."""
    graph = Graph()
    silence = graph.add(SILENCE, [], start=True)
    exits, start = [silence], True
    for word in words:
        ends = []
        for phones in lexicon[word]:
            state = graph.add(phones[0], exits, start=start)
            for phone in phones[1:]:
                state = graph.add(phone, [state])
            ends.append(state)
        silence = graph.add(SILENCE, ends)
        exits, start = ends + [silence], False
    for state in exits:
        graph.flags[state] |= FINAL
    return graph.arrays()


def word_of_states(words, lexicon):
    """For every state of from_words' graph the place of its word in the transcript, -1 for silence."""
    places = [-1]
    for place, word in enumerate(words):
        places += [place] * sum(len(phones) for phones in lexicon[word]) + [-1]
    return np.array(places)


def from_alignment(segments):
    """Graph of phones with known times: (flite phone, end in seconds) in order."""
    graph = Graph()
    began, state = 0.0, None
    for index, (name, end) in enumerate(segments):
        first = -ANY if index == 0 else round(began * 100) - TOLERANCE
        last = ANY if index == len(segments) - 1 else round(end * 100) + TOLERANCE
        state = graph.add(from_flite(name), [] if state is None else [state], start=index == 0, first=first, last=last)
        began = end
    graph.flags[state] |= FINAL
    return graph.arrays()
