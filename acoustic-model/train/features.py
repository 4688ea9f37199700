"""Log mel filterbank energies as the engine computes them (Kaldi's fbank with the options in OPTIONS), on the GPU."""
import math

import torch

RATE, LENGTH, SHIFT, FFT = 16000, 400, 160, 512
MELS, LOW, HIGH = 40, 60.0, 7600.0
FLOOR = 1.1920929e-7  # FLT_EPSILON, the engine's floor

OPTIONS = f"""--sample-frequency={RATE}
--num-mel-bins={MELS}
--low-freq={LOW:g}
--high-freq={HIGH:g}
--dither=0
--snip-edges=true
"""


def mel(frequency):
    return 1127.0 * torch.log1p(torch.as_tensor(frequency, dtype=torch.float32) / 700.0)


def mel_weights(warp):
    """Triangular filters [batch, MELS, FFT / 2 + 1] with every frequency of the speech multiplied by `warp` [batch].

    A warp of 1 gives the engine's filters; others are vocal tract length perturbation.
    """
    device = warp.device
    low, high = mel(LOW).to(device), mel(HIGH).to(device)
    edges = low + (high - low) * torch.arange(MELS + 2, device=device) / (MELS + 1)
    left, centre, right = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    frequency = torch.arange(FFT // 2 + 1, device=device) * (RATE / FFT)
    # piecewise linear: beyond the knee the band is squeezed so that the Nyquist frequency stays put
    knee, nyquist, factor = 4800.0, RATE / 2, warp[:, None]
    warped = torch.where(frequency <= knee / factor.clamp_min(1), frequency * factor,
                         nyquist - (nyquist - frequency) * (nyquist - factor * knee / factor.clamp_min(1))
                         / (nyquist - knee / factor.clamp_min(1)))
    position = mel(warped).to(device)[:, None, :]
    weights = torch.minimum((position - left) / (centre - left), (right - position) / (right - centre)).clamp_min(0)
    weights[:, :, -1] = 0
    return weights


def window(device):
    n = torch.arange(LENGTH, device=device, dtype=torch.float32)
    return (0.5 - 0.5 * torch.cos(2 * math.pi * n / (LENGTH - 1))) ** 0.85


def frames(samples):
    return 1 + (samples - LENGTH) // SHIFT


def fbank(audio, weights):
    """Features [batch, frames, MELS] of audio [batch, samples] in the range of 16-bit integers."""
    x = audio.unfold(1, LENGTH, SHIFT)
    x = x - x.mean(-1, keepdim=True)
    x = torch.cat([x[..., :1] * 0.03, x[..., 1:] - 0.97 * x[..., :-1]], -1) * window(audio.device)
    power = torch.fft.rfft(x, FFT).abs().square()
    return torch.bmm(power, weights.transpose(1, 2)).clamp_min(FLOOR).log()
