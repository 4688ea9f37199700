"""Makes corpora.

    python3 prepare.py real --speech DIR --lexicon A.dict B.dict --part train|held-out --out FILE.npz [--sets an4 ...]
    python3 prepare.py noise --speech DIR --part ... --out FILE.npz
    python3 prepare.py synthetic --speech DIR --lexicon ... --grammar DIR --part ... --count N --seed S --out FILE.npz
"""
import argparse
import glob
import multiprocessing
import os
import random
import subprocess
import tempfile

import corpus
import graphs
import splits
import synthesise
from jsgf import Grammars
from lexicon import read_lexicon
from sentences import Sentences

SETS = ['an4', 'librispeech_devclean_half', 'mini_librispeech', 'speechocean762', 'words', 'speechcommands', 'phone_numbers',
        'dspspeech', 'commonvoice100']
LONGEST = 16.4  # seconds


def rows(speech, name):
    """(path, speaker, transcript, whether held out) of every recording of a set."""
    with open(os.path.join(speech, f'{name}.tsv'), encoding='utf-8') as lines:
        next(lines)
        table = [line.rstrip('\n').split('\t') for line in lines]
    held = splits.held_out_speakers(name, table)
    return [(path, speaker, text, speaker in held) for path, speaker, text, *_ in table]


def decode(path):
    with tempfile.TemporaryDirectory() as folder:
        wav = os.path.join(folder, 'a.wav')
        subprocess.run(['opusdec', '--quiet', '--rate', '16000', '--force-wav', path, wav], check=True, capture_output=True)
        return synthesise.read_wave(wav)


def decode_one(job):
    path, graph, name, words = job
    return decode(path), graph, name, words


def real(options, lexicon):
    jobs, unknown = [], 0
    for name in options.sets:
        for path, speaker, text, held in rows(options.speech, name):
            if held != (options.part == 'held-out') or not os.path.exists(os.path.join(options.speech, path)):
                continue
            try:
                graph = graphs.from_words(text.split(), lexicon)
            except KeyError:
                unknown += 1
                continue
            jobs.append((os.path.join(options.speech, path), graph, f'{name} {speaker}', text))
    with multiprocessing.Pool() as pool:
        found = pool.map(decode_one, jobs, 64)
    kept = [u for u in found if len(u[0]) < LONGEST * 16000 and len(u[0]) / 16000 > 0.03 * len(u[3].split()) * 2]
    print(f'{len(kept)} utterances, {sum(len(u[0]) for u in kept) / 16000 / 3600:.2f} h; {unknown} with unknown words, '
          f'{len(found) - len(kept)} too long or short')
    return kept


def synthetic(options, lexicon):
    transcripts = []
    for name in ('librispeech_devclean_half', 'speechocean762'):
        transcripts += [text for _, _, text, held in rows(options.speech, name) if not held]
    common = {word: lexicon[word] for word in {w for text in transcripts for w in text.split()} if word in lexicon}
    rng = random.Random(options.seed)
    for word in rng.sample(sorted(lexicon), 20000):
        common[word] = lexicon[word]
    sentences = Sentences(Grammars(options.grammar), common, transcripts)
    size = 250
    synthesise.setting = (sentences, lexicon, options.part == 'held-out')
    jobs = [(options.seed * 100003 + k, size) for k in range(-(-options.count // size))]
    with multiprocessing.Pool() as pool:
        found = [u for part in pool.imap_unordered(synthesise.chunk, jobs) for u in part]
    found.sort(key=lambda u: (u[2], u[3], len(u[0])))
    print(f'{len(found)} utterances, {sum(len(u[0]) for u in found) / 16000 / 3600:.2f} h')
    return found


def noise(options):
    """The recorded noises in pieces of 2 s, as utterances of no words; the last 30 % of each file is held out."""
    silence = graphs.from_words([], {})
    pieces = []
    for path in sorted(glob.glob(os.path.join(options.speech, 'noise', '*.opus'))):
        audio = decode(path)
        edge = int(0.7 * len(audio))
        audio = audio[:edge] if options.part == 'train' else audio[edge:]
        pieces += [(audio[at:at + 32000], silence, 'noise ' + os.path.basename(path), '')
                   for at in range(0, len(audio) - 16000, 32000)]
    print(f'{len(pieces)} pieces of noise')
    return pieces


if __name__ == '__main__':
    parser = argparse.ArgumentParser()
    parser.add_argument('kind', choices=['real', 'noise', 'synthetic'])
    parser.add_argument('--speech', required=True)
    parser.add_argument('--lexicon', nargs='+', default=[])
    parser.add_argument('--grammar')
    parser.add_argument('--part', choices=['train', 'held-out'], default='train')
    parser.add_argument('--sets', nargs='+', default=SETS)
    parser.add_argument('--count', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--out', required=True)
    options = parser.parse_args()
    lexicon = read_lexicon(*options.lexicon)
    utterances = {'real': lambda: real(options, lexicon), 'noise': lambda: noise(options),
                  'synthetic': lambda: synthetic(options, lexicon)}[options.kind]()
    corpus.save(options.out, utterances)
