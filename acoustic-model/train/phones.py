"""The units of the network: silence and the 39 phones of the CMU Pronouncing Dictionary, two outputs each."""

PHONES = ('SIL AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z '
          'ZH').split()
SILENCE = 0
INDEX = {phone: index for index, phone in enumerate(PHONES)}
# Output 2p is the first frame of phone p, output 2p + 1 every further frame.
OUTPUTS = 2 * len(PHONES)

# Flite's names (radio phone set) where they differ from ours.
FLITE = {'pau': 'SIL', 'ax': 'AH', 'hv': 'HH', 'dx': 'T', 'axr': 'ER', 'el': 'L', 'em': 'M', 'en': 'N', 'nx': 'N'}


def from_flite(name):
    return INDEX[FLITE.get(name, name.upper())]
