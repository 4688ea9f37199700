"""What happens to speech between a mouth and the recogniser, at random, on the GPU: speed, room, equaliser, noise, talkers in
the background, a noise suppressor, gain, clipping and rounding."""
import math

import torch
from torch.nn import functional

from features import RATE

TAPS = 8  # half width of the resampling kernel


def resample_place(bank, offset, length, speed, lead, samples):
    """[batch, samples]: recordings bank[offset : offset + length] at `speed`, from sample `lead` on, silence around."""
    t = (torch.arange(samples, device=bank.device)[None] - lead[:, None]) * speed[:, None]
    whole = t.floor()
    out = torch.zeros(t.shape, device=bank.device)
    cutoff = (0.97 / speed.clamp_min(1))[:, None]
    for tap in range(1 - TAPS, TAPS + 1):
        index = whole + tap
        x = t - index
        weight = cutoff * torch.sinc(cutoff * x) * torch.cos(x * (math.pi / 2 / TAPS)).square()
        inside = (index >= 0) & (index < length[:, None])
        place = (offset[:, None] + index.long()).clamp(0, len(bank) - 1)
        out += torch.where(inside, bank[place].float() * weight, torch.zeros_like(weight))
    return out


def power(x, mask=None):
    """Mean square along time [batch, 1]; with a mask, over what it covers."""
    if mask is None:
        return x.square().mean(1, keepdim=True)
    return (x.square() * mask).sum(1, keepdim=True) / mask.sum(1, keepdim=True).clamp_min(1)


def suppress(speech, noise, strength, dry, error, jitter):
    """Speech and noise after a suppressor that half knows which is which: gains in bands, as RNNoise-like ones have.

    strength [batch, 1, 1] is the exponent of the gain, dry [batch, 1] the share of the input that is mixed back in, error
    [batch, 1, 1] in dB how far it is off, for a tenth of a second or so, about the ratio of speech to noise in a band.
    """
    size, hop, bands = 512, 128, 22
    shape = torch.hann_window(size, device=speech.device)

    def spectrum(x):
        return torch.stft(x, size, hop, window=shape, return_complex=True)
    s, n = spectrum(speech), spectrum(noise)
    both = s + n
    batch, bins, time = s.shape
    s_power = functional.adaptive_avg_pool1d(s.abs().square().transpose(1, 2).reshape(-1, 1, bins), bands)
    n_power = functional.adaptive_avg_pool1d(n.abs().square().transpose(1, 2).reshape(-1, 1, bins), bands)
    knots = 2 + time // 12
    wrong = torch.randn(batch, bands, knots, device=speech.device) + torch.randn(batch, 1, knots, device=speech.device)
    wrong = functional.interpolate(wrong, size=time, mode='linear', align_corners=True).transpose(1, 2)
    s_power = s_power.reshape(batch, time, bands) * 10 ** (wrong * error / 10)
    gain = s_power / (s_power + n_power.reshape(batch, time, bands) + 1.0)
    gain = gain + jitter * torch.randn_like(gain)
    gain = functional.avg_pool1d(gain.transpose(1, 2), 5, 1, 2).clamp(0.003, 1) ** strength
    gain = functional.interpolate(gain.transpose(1, 2), size=bins, mode='linear', align_corners=False).transpose(1, 2)
    wet = torch.istft(both * gain, size, hop, window=shape, length=speech.shape[1])
    return dry * (speech + noise) + (1 - dry) * wet


class Augmenter:
    """noises: a bank of audio at unit power; rooms: [n, samples]; speech: the corpus's audio, for babble."""

    def __init__(self, noises, recorded, rooms, device):
        self.noises, self.recorded, self.device = noises, recorded, device
        self.rooms = rooms

    def uniform(self, low, high, *shape):
        return torch.rand(*shape, device=self.device) * (high - low) + low

    def chance(self, share, *shape):
        return torch.rand(*shape, device=self.device) < share

    def cut(self, bank, batch, samples):
        at = torch.randint(0, len(bank) - samples - 1, (batch, 1), device=self.device)
        return bank[at + torch.arange(samples, device=self.device)[None]].float()

    def filtered(self, x, room_share, dull=True):
        """x in a random room, through a random equaliser and a random band limit."""
        batch, samples = x.shape
        size = 1 << math.ceil(math.log2(samples + self.rooms.shape[1]))
        room = self.rooms[torch.randint(0, len(self.rooms), (batch,), device=self.device)].clone()
        wet = self.uniform(0.2, 1, batch, 1) * self.chance(room_share, batch, 1)
        room[:, 1:] *= wet
        frequency = torch.arange(size // 2 + 1, device=self.device)[None] * (RATE / size)
        knots = torch.randn(batch, 1, 9, device=self.device) * self.uniform(0, 5, batch, 1, 1)
        decibels = functional.interpolate(knots, size=size // 2 + 1, mode='linear', align_corners=True)[:, 0]
        decibels = decibels + self.uniform(-0.6, 0.6, batch, 1) * frequency / 1000
        gain = 10 ** (decibels / 20)
        if dull:
            edge = torch.where(self.chance(0.25, batch, 1), self.uniform(3400, 7000, batch, 1),
                               torch.full((batch, 1), 9000.0, device=self.device))
            gain = gain * torch.sigmoid((edge - frequency) / 80)
        low = self.uniform(20, 180, batch, 1)
        gain = gain / (1 + (low / frequency.clamp_min(1)) ** 2)
        spectrum = torch.fft.rfft(x, size) * torch.fft.rfft(room, size) * gain
        return torch.fft.irfft(spectrum, size)[:, :samples]

    def noise(self, batch, samples, babble):
        """[batch, samples] of unit power: recorded, synthetic, steady, or voices (babble: a function giving them)."""
        kind = torch.rand(batch, 1, device=self.device)
        steady = torch.randn(batch, samples, device=self.device)
        out = torch.where(kind < 0.30, self.cut(self.recorded, batch, samples),
                          torch.where(kind < 0.62, self.cut(self.noises, batch, samples),
                                      torch.where(kind < 0.70, steady, babble)))
        out = self.filtered(out, 0.3, dull=False)
        return out / power(out).sqrt().clamp_min(1e-3)

    def __call__(self, speech, mask, babble, share_noisy, snr_mean, snr_spread):
        """speech, mask, babble: [batch, samples]; mask is 1 where the recording lies. Returns int16-range audio.

        snr_mean and snr_spread in dB; the ratio is of mean powers, the speech's over its own span.
        """
        batch, samples = speech.shape
        speech = self.filtered(speech, 0.5)
        level = power(speech, mask).sqrt().clamp_min(1e-3)
        speech = speech / level
        noise = self.noise(batch, samples, babble)
        second = noise.roll(1, 0)
        noise = torch.where(self.chance(0.3, batch, 1), noise + self.uniform(0.1, 1, batch, 1) * second, noise)
        noise = noise / power(noise).sqrt().clamp_min(1e-3)
        snr = (snr_mean + snr_spread * torch.randn(batch, 1, device=self.device)).clamp(-5, 40)
        snr = torch.where(self.chance(share_noisy, batch, 1), snr, self.uniform(30, 60, batch, 1))
        noise = noise * 10 ** (-snr / 20)
        dry = torch.where(self.chance(0.7, batch, 1), self.uniform(0.05, 0.25, batch, 1), self.uniform(0, 0.02, batch, 1))
        some = int(0.5 * batch)  # rows are in random order
        audio = speech + noise
        audio[:some] = suppress(speech[:some], noise[:some], self.uniform(0.4, 1.2, some, 1, 1), dry[:some],
                                self.uniform(0, 6, some, 1, 1), 0.08)
        audio = audio * (32768 * 10 ** (self.uniform(-48, -14, batch, 1) / 20))
        drive = torch.where(self.chance(0.04, batch, 1), self.uniform(2, 8, batch, 1), torch.ones(batch, 1, device=self.device))
        audio = (audio * drive).clamp(-32767, 32767) / drive.sqrt()
        audio = audio + torch.randn_like(audio) * torch.where(self.chance(0.7, batch, 1), self.uniform(0, 4, batch, 1),
                                                              torch.zeros(batch, 1, device=self.device))
        return audio.round()


def mask_features(features):
    """SpecAugment (Park et al., 2019), mild: one short gap in time and up to two narrow bands take the mean."""
    batch, time, bins = features.shape
    device = features.device
    mean = features.mean((1, 2), keepdim=True)
    axis = torch.arange(bins, device=device)[None]
    for _ in range(2):
        begin = torch.randint(0, bins - 4, (batch, 1), device=device)
        width = torch.randint(0, 6, (batch, 1), device=device)
        hole = ((axis >= begin) & (axis < begin + width))[:, None]
        features = torch.where(hole, mean, features)
    axis = torch.arange(time, device=device)[None]
    begin = torch.randint(0, max(1, time - 8), (batch, 1), device=device)
    width = torch.randint(0, 8, (batch, 1), device=device)
    return torch.where(((axis >= begin) & (axis < begin + width))[..., None], mean, features)
