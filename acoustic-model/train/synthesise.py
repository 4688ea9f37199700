"""Spoken sentences from espeak-ng and flite, in chunks, on all cores. See README.md for how they are used."""
import os
import random
import re
import subprocess
import tempfile
import wave

import numpy as np
from scipy.signal import resample_poly

import graphs
from features import RATE

# Never trained on: they are for development.
HELD_OUT = {'flite': ['awb', 'kal16'], 'espeak': ['f3', 'm5', 'Andrea', 'john', 'travis', 'zac']}
FLITE = ['slt', 'slt', 'rms', 'rms', 'kal']
ACCENTS = ['en-us'] * 4 + ['en-us-nyc', 'en-gb', 'en-gb', 'en-gb-scotland', 'en-gb-x-rp', 'en-gb-x-gbclan', 'en-gb-x-gbcwmd',
                           'en-029']
setting = None
ODD = re.compile(r'robot|robosoft|demonic|croak|whisper|fast|announcer', re.I)


def espeak_variants():
    root = os.environ.get('ESPEAK_DATA_PATH', '/usr/lib/x86_64-linux-gnu')
    names = os.listdir(os.path.join(root, 'espeak-ng-data', 'voices', '!v'))
    return sorted(name for name in names if not ODD.search(name) and ' ' not in name)


def read_wave(path):
    with wave.open(path) as file:
        rate = file.getframerate()
        audio = np.frombuffer(file.readframes(file.getnframes()), np.int16)
    if rate == RATE:
        return audio
    up = RATE // np.gcd(RATE, rate)
    audio = resample_poly(audio.astype(np.float32), up, rate // np.gcd(RATE, rate))
    return np.clip(np.round(audio), -32768, 32767).astype(np.int16)


def flite(words, voice, rng, path):
    """(audio, graph) with the times of the phones as flite tells them."""
    stretch = rng.uniform(0.7, 1.35)
    pitch = rng.choice([90, 105, 120, 140, 165, 190, 220, 250])
    out = subprocess.run(['flite', '-voice', voice, '--setf', f'duration_stretch={stretch:.2f}', '--setf',
                          f'int_f0_target_mean={pitch}', '--setf', f'int_f0_target_stddev={rng.randint(5, 30)}', '-psdur',
                          '-t', ' '.join(words), '-o', path], capture_output=True, text=True, timeout=20).stdout
    segments = [(name, float(end)) for name, end in (field.rsplit(':', 1) for field in out.split())]
    return read_wave(path), graphs.from_alignment(segments)


def espeak(words, voice, lexicon, rng, path):
    subprocess.run(['espeak-ng', '-v', voice, '-s', str(rng.randint(105, 220)), '-p', str(rng.randint(10, 90)), '-w', path,
                    ' '.join(words)], capture_output=True, timeout=20)
    return read_wave(path), graphs.from_words(words, lexicon)


def chunk(job):
    """job: (seed, count). A list of (audio, graph, set name, words). `setting` is (sentences, lexicon, held_out), set before
    the pool forks."""
    seed, count = job
    sentences, lexicon, held_out = setting
    rng = random.Random(seed)
    variants = [name for name in espeak_variants() if (name in HELD_OUT['espeak']) == held_out]
    out, failed = [], 0
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, 'a.wav')
        while len(out) < count:
            words = sentences.draw(rng)
            try:
                if rng.random() < 0.5:
                    voice = rng.choice(HELD_OUT['flite'] if held_out else FLITE)
                    audio, graph = flite(words, voice, rng, path)
                    if held_out:  # judged by its words, as real speech is
                        graph = graphs.from_words(words, lexicon)
                    name = f'flite {voice}'
                else:
                    voice = rng.choice(ACCENTS) + ('+' + rng.choice(variants) if held_out or rng.random() < 0.9 else '')
                    audio, graph = espeak(words, voice, lexicon, rng, path)
                    name = f'espeak {voice}'
            except (KeyError, ValueError, wave.Error, FileNotFoundError, subprocess.TimeoutExpired) as error:
                failed += 1
                if failed > 100 + count:
                    raise RuntimeError('the synthesisers say hardly anything') from error
                continue
            if 0.25 * RATE < len(audio) < 12 * RATE and len(graph[0]) < 400:
                out.append((audio, graph, name, ' '.join(words)))
    return out
