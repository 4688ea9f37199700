"""Which speakers of the real sets are held out for development. The same in every run."""
import random

TEST_ONLY = {'commonvoice100'}


def held_out_speakers(name, table):
    """table: rows of a set's TSV. Its own split where it has one; else by lot."""
    if name == 'words':
        return {speaker for _, speaker, _, part in table if part == 'validation'}
    speakers = sorted({row[1] for row in table})
    rng = random.Random(2026)
    if name in TEST_ONLY:
        return set(speakers)
    if name == 'an4':
        women = [s for s in speakers if s.startswith('an4-f')]
        men = [s for s in speakers if s.startswith('an4-m')]
        return set(rng.sample(women, 4) + rng.sample(men, 4))
    share = {'librispeech_devclean_half': 0.1, 'mini_librispeech': 0.1, 'speechcommands': 0.15, 'speechocean762': 0.1,
             'phone_numbers': 0.15, 'dspspeech': 0.15}[name]
    return set(rng.sample(speakers, max(2, round(share * len(speakers)))))
