"""Noises of a coffee bar, synthesised: pump, grinder, steam, water, dishes, fans, music. Labelled synthetic wherever used.

Each is a function of (samples, generator, device) that gives audio of about unit power.
"""
import math

import torch

from features import RATE


def uniform(generator, device, low, high, *shape):
    return torch.rand(*shape, generator=generator, device=device) * (high - low) + low


def white(n, generator, device):
    return torch.randn(n, generator=generator, device=device)


def shaped(x, gain):
    """x with its spectrum multiplied by gain(frequencies in Hz)."""
    spectrum = torch.fft.rfft(x)
    frequency = torch.arange(len(spectrum), device=x.device) * (RATE / len(x))
    return torch.fft.irfft(spectrum * gain(frequency), len(x))


def resonances(generator, device, count, low, high):
    """A gain with `count` peaks between two frequencies."""
    centre = low * (high / low) ** uniform(generator, device, 0, 1, count)
    width = centre * uniform(generator, device, 0.03, 0.4, count)
    height = uniform(generator, device, 0.3, 3, count)
    floor = float(uniform(generator, device, 0.02, 0.3, 1))
    return lambda f: floor + (height / (1 + ((f[:, None] - centre) / width) ** 2)).sum(1)


def slow(n, generator, device, rate):
    """A smooth random curve about 0 with changes at `rate` a second."""
    knots = max(4, int(n / RATE * rate) + 3)
    y = torch.randn(1, 1, knots, generator=generator, device=device)
    return torch.nn.functional.interpolate(y, size=n, mode='linear', align_corners=True)[0, 0]


def switched(n, generator, device, mean_on, mean_off):
    """An envelope that is on and off for random times, with ramps of 50 ms."""
    envelope = torch.zeros(n, device=device)
    at, on = 0, float(uniform(generator, device, 0, 1, 1)) < 0.7
    while at < n:
        length = int(RATE * (0.2 + float(uniform(generator, device, 0, 2, 1)) * (mean_on if on else mean_off)))
        if on:
            envelope[at:at + length] = 1
        at, on = at + length, not on
    ramp = torch.ones(1, 1, 801, device=device) / 801
    return torch.nn.functional.conv1d(envelope[None, None], ramp, padding=400)[0, 0]


def harmonics(n, generator, device, base, count, wander):
    """A buzz on a base frequency (Hz) that wanders by a share of itself."""
    frequency = base * (1 + wander * slow(n, generator, device, 1.0))
    phase = 2 * math.pi * torch.cumsum(frequency.double(), 0) / RATE
    x = torch.zeros(n, device=device)
    for k in range(1, count + 1):
        if base * k < RATE / 2 * 0.9:
            level = float(uniform(generator, device, 0.1, 1, 1)) / k ** float(uniform(generator, device, 0.3, 1.2, 1))
            x += level * torch.sin((k * phase) % (2 * math.pi) + float(uniform(generator, device, 0, 6, 1))).float()
    return x


def strokes(n, generator, device, a_second, low, high, shortest, longest):
    """Struck things: each a sum of dying tones."""
    x = torch.zeros(n, device=device)
    for _ in range(max(1, int(n / RATE * a_second))):
        length = int(RATE * min(1.0, 5 * longest))
        t = torch.arange(length, device=device) / RATE
        k = 6
        f = low * (high / low) ** uniform(generator, device, 0, 1, k, 1)
        decay = uniform(generator, device, shortest, longest, k, 1)
        tone = (uniform(generator, device, 0, 1, k, 1) * torch.exp(-t / decay) * torch.sin(2 * math.pi * f * t)).sum(0)
        begin = int(torch.randint(0, max(1, n - length), (1,), generator=generator, device=device))
        size = min(length, n - begin)
        x[begin:begin + size] += (tone * torch.exp(uniform(generator, device, -2.5, 0.5, 1)))[:size]
    return x


def unit(x):
    return x / x.square().mean().sqrt().clamp_min(1e-6)


def pump(n, generator, device):
    base = [50.0, 60.0, 100.0, 120.0][int(torch.randint(0, 4, (1,), generator=generator, device=device))]
    buzz = unit(harmonics(n, generator, device, base, 40, 0.002))
    rush = unit(shaped(white(n, generator, device), resonances(generator, device, 4, 200, 4000)))
    return unit((buzz + uniform(generator, device, 0.1, 1, 1) * rush) * (1 + 0.2 * slow(n, generator, device, 6)))


def grinder(n, generator, device):
    motor = unit(harmonics(n, generator, device, float(uniform(generator, device, 90, 420, 1)), 30, 0.01))
    grit = white(n, generator, device) * (white(n, generator, device).abs() ** 3)
    burrs = unit(shaped(grit, resonances(generator, device, 6, 400, 7000)))
    return unit((uniform(generator, device, 0.2, 1, 1) * motor + burrs) * switched(n, generator, device, 5, 1) + 1e-3)


def steam(n, generator, device):
    edge = float(uniform(generator, device, 800, 4000, 1))
    peaks = resonances(generator, device, 3, 1500, 7500)
    hiss = unit(shaped(white(n, generator, device), lambda f: peaks(f) / (1 + (edge / f.clamp_min(1)) ** 2)))
    gurgle = 1 + uniform(generator, device, 0, 0.6, 1) * slow(n, generator, device, 25)
    return unit(hiss * gurgle * switched(n, generator, device, 6, 0.7) + 1e-3)


def water(n, generator, device):
    rush = unit(shaped(white(n, generator, device), resonances(generator, device, 5, 300, 6000)))
    drops = unit(strokes(n, generator, device, 12, 400, 3500, 0.004, 0.03))
    return unit(rush * (1 + 0.3 * slow(n, generator, device, 12)) + uniform(generator, device, 0.1, 1, 1) * drops)


def dishes(n, generator, device):
    clatter = unit(strokes(n, generator, device, float(uniform(generator, device, 0.7, 5, 1)), 900, 7500, 0.01, 0.15))
    return unit(clatter + 0.05 * white(n, generator, device))


def fan(n, generator, device):
    tilt = float(uniform(generator, device, 0.2, 1.2, 1))
    peaks = resonances(generator, device, 5, 60, 3000)
    return unit(shaped(white(n, generator, device), lambda f: peaks(f) / f.clamp_min(40) ** tilt))


def music(n, generator, device):
    x = torch.zeros(n, device=device)
    beat = int(RATE * float(uniform(generator, device, 0.25, 0.6, 1)))
    for begin in range(0, n - 1, beat):
        length = min(2 * beat, n - begin)
        t = torch.arange(length, device=device) / RATE
        for note in torch.randint(36, 84, (3,), generator=generator, device=device).tolist():
            f = 440 * 2 ** ((note - 69) / 12)
            x[begin:begin + length] += sum(torch.sin(2 * math.pi * f * k * t) / k for k in range(1, 6)
                                           if f * k < 7500) * torch.exp(-t * 3)
        hit = torch.exp(-t * 40) * torch.randn(length, generator=generator, device=device)
        x[begin:begin + length] += float(uniform(generator, device, 0, 2, 1)) * hit
    return unit(x)


KINDS = {kind.__name__: kind for kind in (pump, grinder, steam, water, dishes, fan, music)}


def bank(count, seconds, seed, device):
    """`count` noises of each kind one after another, [samples] at unit power."""
    generator = torch.Generator(device=device).manual_seed(seed)
    return torch.cat([KINDS[kind](seconds * RATE, generator, device) for kind in KINDS for _ in range(count)])
