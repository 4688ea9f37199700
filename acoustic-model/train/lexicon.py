"""Pronunciations: word -> list of phone index lists, from files in the format of the CMU Pronouncing Dictionary."""
from phones import INDEX

VARIANTS = 5  # at most, a word: bounds the number of ways into a state of a numerator graph


def read_lexicon(*paths):
    """Later files go in front: their variants are kept first."""
    lexicon = {}
    for path in paths:
        fresh = {}
        with open(path, encoding='utf-8') as lines:
            for line in lines:
                fields = line.split()
                if not fields or fields[0].startswith(';;'):
                    continue
                word = fields[0].split('(')[0]
                phones = [INDEX[phone.rstrip('012')] for phone in fields[1:]]
                fresh.setdefault(word, [])
                if phones not in fresh[word]:
                    fresh[word].append(phones)
        for word, variants in fresh.items():
            old = [phones for phones in lexicon.get(word, []) if phones not in variants]
            lexicon[word] = (variants + old)[:VARIANTS]
    return lexicon
